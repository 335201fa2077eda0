//! Entries of a rule file, taken out one at a time, and two rules held against each other. Knows no expected rule.
#![allow(dead_code, reason = "each proof uses its own share of this")]

use std::fmt;

use benchleaf::rules::{Limits, Rule, Slot};
use toml::Value;

/// Where an entry stands: keys and places in lists, from the file's root.
#[derive(Clone, Debug)]
pub struct Entry(Vec<At>);

#[derive(Clone, Debug)]
enum At {
    Key(String),
    /// Place in a list, and the name of what stands there, where it has one.
    Place(usize, String),
}

impl fmt::Display for Entry {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        for at in &self.0 {
            match at {
                At::Key(key) => write!(f, ".{key}")?,
                At::Place(place, name) => write!(f, "[{place} {name}]")?,
            }
        }
        Ok(())
    }
}

impl At {
    fn key(&self) -> Option<&str> {
        match self {
            At::Key(key) => Some(key),
            At::Place(..) => None,
        }
    }
}

impl Entry {
    pub fn keys(&self) -> Vec<&str> {
        self.0.iter().filter_map(At::key).collect()
    }

    /// The file without it.
    pub fn left_out_of(&self, text: &str) -> String {
        let mut root = Value::Table(text.parse().unwrap());
        let (last, way) = self.0.split_last().unwrap();
        let holder = way.iter().fold(&mut root, |value, at| match at {
            At::Key(key) => value.get_mut(key).unwrap(),
            At::Place(place, _) => value.get_mut(place).unwrap(),
        });
        match (last, holder) {
            (At::Key(key), Value::Table(table)) => drop(table.remove(key).unwrap()),
            (At::Place(place, _), Value::Array(list)) => drop(list.remove(*place)),
            _ => unreachable!("a key is of a table, a place of a list"),
        }
        toml::to_string(&root).unwrap()
    }
}

/// Every table of a list, every key of a table, every member of a list.
pub fn entries_of(text: &str) -> Vec<Entry> {
    let mut found = Vec::new();
    walk(&Value::Table(text.parse().unwrap()), &mut Vec::new(), &mut found);
    found
}

fn walk(value: &Value, way: &mut Vec<At>, found: &mut Vec<Entry>) {
    let inner: Vec<(At, &Value)> = match value {
        Value::Table(table) => table.iter().map(|(key, inner)| (At::Key(key.clone()), inner)).collect(),
        Value::Array(list) => {
            list.iter().enumerate().map(|(place, inner)| (At::Place(place, name_of(inner)), inner)).collect()
        }
        _ => return,
    };
    for (at, inner) in inner {
        way.push(at);
        found.push(Entry(way.clone()));
        walk(inner, way, found);
        way.pop();
    }
}

fn name_of(value: &Value) -> String {
    let text = |key| value.get(key).and_then(Value::as_str).map(str::to_string);
    let named = ["name", "id", "outer", "by", "slot", "surface"].into_iter().find_map(text);
    named.or_else(|| value.as_str().map(str::to_string)).unwrap_or_default()
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Asks {
    TheSame,
    /// Every plan of the new rule is one of the old rule, under the same checks.
    More,
    /// Other ways up are tried, under the same checks.
    Otherwise,
}

/// Whether the new rule asks for no less than the old one.
pub fn asks_no_less(old: &Rule, new: &Rule) -> Result<Asks, String> {
    for (what, old, new) in [
        ("presses", plain(&old.presses), plain(&new.presses)),
        ("threads", plain(&old.threads), plain(&new.threads)),
        ("grips", plain(&old.grips), plain(&new.grips)),
        ("stand-outs", plain(&old.stand_outs), plain(&new.stand_outs)),
        ("sizes", plain(&old.sizes), plain(&new.sizes)),
        ("pulled", plain(&old.pulled), plain(&new.pulled)),
        ("path", plain(&old.path), plain(&new.path)),
        ("steps on slots", worked_on(old), worked_on(new)),
    ] {
        if old != new {
            return Err(format!("{what} differ: {old} {new}"));
        }
    }
    let found =
        [limits(old, new)?, slots(old, new)?, sleeves(old, new)?, slits(old, new)?, changes(old, new)?];
    let has = |asks| found.contains(&asks);
    Ok(if has(Asks::Otherwise) {
        Asks::Otherwise
    } else if has(Asks::More) {
        Asks::More
    } else {
        Asks::TheSame
    })
}

/// The most that a gap is liked to be is a wish, and no check.
fn limits(old: &Rule, new: &Rule) -> Result<Asks, String> {
    let all = |limits: &Limits| [limits.gap_least, limits.seat_least, limits.still_least];
    let (old, new) = (all(&old.limits), all(&new.limits));
    match old.iter().zip(&new).all(|(old, new)| new >= old) {
        true if old == new => Ok(Asks::TheSame),
        true => Ok(Asks::More),
        false => Err(format!("limits differ: {old:?} {new:?}")),
    }
}

fn slots(old: &Rule, new: &Rule) -> Result<Asks, String> {
    if old.slots.len() != new.slots.len() {
        return Err("another number of slots".into());
    }
    let mut asks = Asks::TheSame;
    for (old, new) in old.slots.iter().zip(&new.slots) {
        let fewer =
            new.least >= old.least && new.most <= old.most && new.kinds.iter().all(|k| old.kinds.contains(k));
        let touches = new.may_touch.iter().all(|s| old.may_touch.contains(s));
        let carried = old.rests_on.is_empty()
            || touches && !new.rests_on.is_empty() && new.rests_on.iter().all(|s| old.rests_on.contains(s));
        // What was free now costs something.
        let dearer = old.brought || !new.brought;
        let ways = (old.turned || !new.turned) && (old.as_drawn || !new.as_drawn);
        if !fewer || !carried || !dearer {
            return Err(format!("the slot {} takes more", old.name));
        }
        let like_old = Slot {
            least: old.least,
            most: old.most,
            kinds: old.kinds.clone(),
            rests_on: old.rests_on.clone(),
            may_touch: old.may_touch.clone(),
            brought: old.brought,
            as_drawn: old.as_drawn,
            turned: old.turned,
            span: old.span,
            ..new.clone()
        };
        if like_old != *old {
            return Err(format!("the slot {} is another", old.name));
        }
        let same = Slot { span: old.span, ..new.clone() } == *old;
        if !ways {
            asks = Asks::Otherwise;
        } else if !same && asks == Asks::TheSame {
            asks = Asks::More;
        }
    }
    Ok(asks)
}

/// A wall that springs open less passes over less.
fn sleeves(old: &Rule, new: &Rule) -> Result<Asks, String> {
    let mut asks = Asks::TheSame;
    if old.sleeves.len() != new.sleeves.len() {
        return Err("another number of sleeves".into());
    }
    for (old, new) in old.sleeves.iter().zip(&new.sleeves) {
        let mut like_old = new.clone();
        like_old.springs = old.springs;
        if plain(&like_old) != plain(old) || new.springs > old.springs {
            return Err(format!("a sleeve differs: {} {}", plain(old), plain(new)));
        }
        if new.springs != old.springs {
            asks = Asks::More;
        }
    }
    Ok(asks)
}

/// A slit that nothing may bridge is refused.
fn slits(old: &Rule, new: &Rule) -> Result<Asks, String> {
    let mut asks = Asks::TheSame;
    if old.slits.len() != new.slits.len() {
        return Err("another number of slit rules".into());
    }
    for (old, new) in old.slits.iter().zip(&new.slits) {
        let mut like_old = new.clone();
        like_old.bridged_by = old.bridged_by;
        like_old.unbridged = old.unbridged;
        let bridged = new.bridged_by.is_none() || new.bridged_by == old.bridged_by;
        if plain(&like_old) != plain(old) || !bridged || new.unbridged > old.unbridged {
            return Err(format!("a slit rule differs: {} {}", plain(old), plain(new)));
        }
        if new.bridged_by != old.bridged_by || new.unbridged != old.unbridged {
            asks = Asks::More;
        }
    }
    Ok(asks)
}

fn changes(old: &Rule, new: &Rule) -> Result<Asks, String> {
    let made = |rule: &Rule| -> Vec<String> {
        rule.changes.iter().map(|c| format!("{} {:?} {}", c.id, c.slot, plain(&c.made))).collect()
    };
    let (old, new) = (made(old), made(new));
    match new.iter().all(|change| old.contains(change)) {
        true if new.len() == old.len() => Ok(Asks::TheSame),
        true => Ok(Asks::More),
        false => Err(format!("changes differ: {old:?} {new:?}")),
    }
}

/// What has a step, from where it is reached and what it closes.
fn worked_on(rule: &Rule) -> String {
    let slotted = rule.steps.iter().filter(|step| step.slot.is_some());
    slotted.map(|s| format!("{:?} {:?} {:?} {:?}; ", s.slot, s.when, s.reach, s.closes)).collect()
}

/// As it is written out for looking at, without the places in the file.
fn plain<T: fmt::Debug + ?Sized>(thing: &T) -> String {
    let text = format!("{thing:?}");
    let mut parts = text.split("span: Span {");
    let first = parts.next().unwrap_or_default().to_string();
    parts.fold(first, |all, part| all + part.split_once('}').map_or("", |(_, rest)| rest))
}
