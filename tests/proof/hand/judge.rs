//! What a mechanic with perfect calipers finds on one real build: each thing that the rule asks for with how much there is to
//! spare. Knows no tolerance and no range. Must not know how the engine judges.

use super::pile::{Build, Seat};
use super::{bolts, grips, play::Play};
use benchleaf::assembly::Strengths;
use benchleaf::rules::{PutOn, SurfaceRef};

/// Something asked for. Less than nothing to spare: the build is not sound.
#[derive(Clone, Debug)]
pub struct Finding {
    pub what: &'static str,
    /// Parts it is about, by their place in the list.
    pub about: Vec<usize>,
    /// Nanometres to spare, or [`YES`] or [`NO`].
    pub spare: f64,
}

pub const YES: f64 = 1e9;
pub const NO: f64 = -1e9;

pub struct Findings(pub Vec<Finding>);

impl Findings {
    pub fn add(&mut self, what: &'static str, about: &[usize], spare: f64) {
        self.0.push(Finding { what, about: about.to_vec(), spare });
    }

    pub fn fact(&mut self, what: &'static str, about: &[usize], holds: bool) {
        self.add(what, about, if holds { YES } else { NO });
    }

    pub fn within(&mut self, what: &'static str, about: &[usize], found: f64, limits: (f64, f64)) {
        self.add(what, about, (found - limits.0).min(limits.1 - found));
    }

    pub fn worst(&self) -> &Finding {
        self.0.iter().min_by(|a, b| a.spare.total_cmp(&b.spare)).expect("something is asked of every build")
    }
}

/// A wall of one part over a wall of another, as the rule names them.
pub struct Sleeved {
    pub rule: usize,
    pub outer: usize,
    pub inner: usize,
    pub surfaces: [&'static str; 2],
    /// Least and most clearance, diametral, where they are beside each other (or anywhere, where they are nowhere).
    pub clearance: [f64; 2],
    /// They are beside each other somewhere: the one guides the other.
    pub beside: bool,
}

impl Build<'_> {
    /// Zone of a wall above the crown-race seat.
    pub fn zone(&self, item: usize, surface: &str, bore: bool) -> Option<[f64; 2]> {
        let foot = self.feet[item]?;
        let named = |r: &&super::part::Ring| (if bore { r.bore } else { r.outside }).surface == surface;
        let rings = self.parts[item].rings.iter().filter(named);
        let ends = rings.map(|r| [r.foot + foot, r.top + foot]);
        ends.reduce(|a, b| [a[0].min(b[0]), a[1].max(b[1])])
    }

    pub fn top(&self, item: usize) -> Option<f64> {
        self.feet[item].map(|foot| foot + self.parts[item].height)
    }

    /// The first of these walls that is there: on which parts.
    pub fn first_there(&self, list: &[SurfaceRef], bore: bool) -> Option<(&'static str, Vec<usize>)> {
        list.iter().find_map(|wall| {
            let has = |&item: &usize| match bore {
                true => self.parts[item].bores(wall.surface).next().is_some(),
                false => self.parts[item].outsides(wall.surface).next().is_some(),
            };
            let items: Vec<usize> = self.in_slot(wall.slot).filter(has).collect();
            (!items.is_empty()).then_some((wall.surface, items))
        })
    }

    pub fn sleeves(&self) -> Vec<Sleeved> {
        let mut found = vec![];
        for (rule, sleeve) in self.rule.sleeves.iter().enumerate() {
            let Some((surface, inners)) = self.first_there(&sleeve.inner, false) else { continue };
            for outer in self.in_slot(sleeve.outer.slot) {
                for &inner in inners.iter().filter(|&&i| i != outer) {
                    let surfaces = [sleeve.outer.surface, surface];
                    found.extend(self.sleeved(rule, outer, inner, surfaces));
                }
            }
        }
        found
    }

    fn sleeved(
        &self,
        rule: usize,
        outer: usize,
        inner: usize,
        surfaces: [&'static str; 2],
    ) -> Option<Sleeved> {
        let mut clearances: Vec<(bool, f64)> = vec![];
        for over in self.parts[outer].bores(surfaces[0]) {
            for under in self.parts[inner].outsides(surfaces[1]) {
                let beside = self.feet[outer].zip(self.feet[inner]).is_some_and(|(o, i)| {
                    (over.top + o).min(under.top + i) > (over.foot + o).max(under.foot + i)
                });
                for bore in over.bore.at {
                    clearances.extend(under.outside.at.map(|outside| (beside, bore - outside)));
                }
            }
        }
        let beside = clearances.iter().any(|c| c.0);
        clearances.retain(|c| c.0 || !beside);
        let all = || clearances.iter().map(|c| c.1);
        let clearance = [all().reduce(f64::min)?, all().reduce(f64::max)?];
        Some(Sleeved { rule, outer, inner, surfaces, clearance, beside })
    }
}

/// Everything that the rule asks for, at the heights that the parts have now.
pub fn judged(build: &Build<'_>, strengths: &dyn Strengths) -> Findings {
    let mut out = Findings(vec![]);
    let sleeves = build.sleeves();
    let play = Play::of(build, &sleeves);
    sleeved(build, &sleeves, &mut out);
    for item in build.all() {
        seated(build, item, &mut out);
        rests(build, item, &play, &mut out);
        set_inside(build, item, &mut out);
    }
    let pushed = pushed(build, &mut out);
    gap(build, &pushed, &mut out);
    still(build, &play, &mut out);
    sizes(build, &mut out);
    bolts::threads(build, strengths, &mut out);
    bolts::keys(build, &mut out);
    grips::grips(build, &sleeves, &mut out);
    grips::slits(build, &mut out);
    out
}

fn sleeved(build: &Build<'_>, sleeves: &[Sleeved], out: &mut Findings) {
    for sleeve in sleeves {
        let rule = &build.rule.sleeves[sleeve.rule];
        let limits = (rule.clearance_least.as_nm() as f64, rule.clearance_most.as_nm() as f64);
        let about = [sleeve.outer, sleeve.inner];
        sleeve.clearance.iter().for_each(|&c| out.within("clearance", &about, c, limits));
        let Some(least) = rule.overlap_least else { continue };
        let zones = (
            build.zone(sleeve.outer, sleeve.surfaces[0], true),
            build.zone(sleeve.inner, sleeve.surfaces[1], false),
        );
        let (Some(outer), Some(inner)) = zones else { continue };
        let overlap = outer[1].min(inner[1]) - outer[0].max(inner[0]);
        out.add("overlap", &about, overlap - least.as_nm() as f64);
    }
}

/// What is pressed on or closes on a seat.
fn seated(build: &Build<'_>, item: usize, out: &mut Findings) {
    let features = build.parts[item].features();
    let slot = build.slots[item];
    let Some(seated) = build.seated[item] else {
        let part = &build.parts[item];
        let has = |surface| part.bores(surface).chain(part.outsides(surface)).next().is_some();
        if build.rule.presses.iter().any(|p| p.wall.slot == slot && has(p.wall.surface)) {
            out.fact("nothing to press on", &[item], false);
        }
        return;
    };
    let about = [item, seated.on];
    let Some(press) = seated.press else {
        // A split ring goes on without force, and its cut lets it close.
        let closing = seated.made - seated.seat;
        let cut = build.parts[item].slits.iter().map(|s| s.width).fold(0.0, f64::max);
        out.add("ring goes on", &about, closing);
        out.add("ring closes", &about, cut / std::f64::consts::PI - closing);
        return;
    };
    if let Some((least, most)) = build.rule.presses[press].tightness {
        let tight = if seated.in_bore { seated.made - seated.seat } else { seated.seat - seated.made };
        out.within("tightness", &about, tight, (least.as_nm() as f64, most.as_nm() as f64));
    } else if let Some((least, most)) = &features.fits_bore {
        let part = &build.parts[item];
        out.within("fits the bore", &about, seated.seat, (part.size(least), part.size(most)));
    }
}

fn rests(build: &Build<'_>, item: usize, play: &Play, out: &mut Findings) {
    let slot = build.rule.slot(build.slots[item]);
    if matches!(slot.put_on, PutOn::Fixed | PutOn::Chosen(_)) {
        return;
    }
    let touches = &build.touches[item];
    out.fact("lands", &[item], !touches.is_empty());
    for touch in touches {
        let on = build.slots[touch.on];
        // What may carry as well is asked to pass the push on, no more.
        let named = slot.rests_on.contains(&on) || slot.may_touch.contains(&on);
        let may = slot.rests_on.is_empty() || named || on == build.slots[item];
        out.fact("rests where it may", &[item, touch.on], may);
        let width = match &touch.seat {
            Seat::Edge => None,
            Seat::Cone([from, to]) => Some((to - from) / 2.0),
            Seat::Flat { own, other } => {
                play.between(item, touch.on).map(|off| width_off_centre(*own, *other, off))
            }
        };
        let least = build.rule.limits.seat_least.as_nm() as f64;
        out.add("seat", &[item, touch.on], width.map_or(NO, |w| w - least));
    }
}

/// Width of two flats on one another on the side where it is least, one of them off centre.
fn width_off_centre(own: [f64; 2], other: [f64; 2], off: f64) -> f64 {
    let width =
        |off: f64| (own[1] / 2.0 + off).min(other[1] / 2.0) - (own[0] / 2.0 + off).max(other[0] / 2.0);
    width(off).min(width(-off))
}

/// What stands in another part at a chosen depth, or may stand along the pile: no metal in its way.
fn set_inside(build: &Build<'_>, item: usize, out: &mut Findings) {
    let PutOn::Chosen(choice) = build.rule.slot(build.slots[item]).put_on else { return };
    let (Some(foot), host) = (build.feet[item], build.host(item)) else { return };
    if let (Some(into), Some(host)) = (choice.into, host)
        && let (Some(host_foot), Some(host_top)) = (build.feet[host], build.top(host))
    {
        let depth = match into {
            benchleaf::rules::End::Top => host_top - (foot + build.parts[item].height),
            benchleaf::rules::End::Bottom => foot - host_foot,
        };
        let most = choice.depth_most.map_or(f64::INFINITY, |m| m.as_nm() as f64);
        out.within("depth", &[item, host], depth, (choice.depth_least.as_nm() as f64, most));
        whole_wall(build, item, host, out);
    }
    for other in build.all().filter(|&o| o != item && !build.is_chosen(o)) {
        let Some(base) = build.feet[other] else { continue };
        let below = match choice.into {
            Some(benchleaf::rules::End::Top) => Some(other) == host,
            Some(benchleaf::rules::End::Bottom) => Some(other) != host,
            None => build.rule.slot(build.slots[other]).order < build.rule.slot(build.slots[item]).order,
        };
        let room = match below {
            true => build.meets(other, item).map(|h| foot - (base + h)),
            false => build.meets(item, other).map(|h| base - (foot + h)),
        };
        if let Some(room) = room {
            out.add("room for it", &[item, other], room);
        }
    }
}

/// What holds by its fins holds in a wall that is there, and is not slit.
fn whole_wall(build: &Build<'_>, item: usize, host: usize, out: &mut Findings) {
    let Some(press) = build.seated[item].and_then(|s| s.press) else { return };
    let wall = build.rule.presses[press].wall.surface;
    let (Some(fins), Some(foot)) = (build.zone(item, wall, false), build.feet[host]) else { return };
    for slit in &build.parts[host].slits {
        let clear = (fins[0] - (foot + slit.to)).max((foot + slit.from) - fins[1]);
        out.add("fins clear of the slit", &[item, host], clear);
    }
    let seats = build.rule.presses[press].seat.iter().filter(|s| s.slot == build.slots[host]);
    if let Some(bore) = seats.filter_map(|s| build.zone(host, s.surface, true)).next() {
        out.add("fins in the bore", &[item, host], (fins[0] - bore[0]).min(bore[1] - fins[1]));
    }
}

/// What the push goes through down to the ring, and that it goes on from there as it should.
fn pushed(build: &Build<'_>, out: &mut Findings) -> Vec<usize> {
    let path = &build.rule.path;
    let place = |item: usize| path.iter().position(|p| p.slot == build.slots[item]);
    let mut pushed: Vec<usize> = vec![];
    let mut next: Vec<usize> = build.in_slot(build.rule.pulled).collect();
    out.fact("something is pulled", &next, !next.is_empty());
    while let Some(item) = next.pop() {
        if pushed.contains(&item) {
            continue;
        }
        pushed.push(item);
        if place(item) == Some(0) {
            continue;
        }
        let may_touch = &build.rule.slot(build.slots[item]).may_touch;
        let must: Vec<usize> = build.touches[item].iter().map(|t| t.on).collect();
        // What may carry as well is of no account where something else carries.
        let strict: Vec<usize> =
            must.iter().copied().filter(|&on| !may_touch.contains(&build.slots[on])).collect();
        for on in if strict.is_empty() { must } else { strict } {
            let wrong = build.slots[on].0 == 0 || place(on).is_some_and(|at| at > 0);
            out.fact("push goes to the ring", &[item, on], !wrong);
            if !wrong {
                next.push(on);
            }
        }
    }
    for (at, step) in path.iter().enumerate() {
        let after = path[at + 1..].iter().find(|s| build.filled(s.slot));
        for item in build.in_slot(step.slot) {
            let Some(after) = after else { continue };
            for touch in &build.touches[item] {
                let goes_on = build.slots[touch.on] == after.slot
                    && step.leaves.as_deref().is_none_or(|c| c == touch.own_column)
                    && after.enters.as_deref().is_none_or(|c| c == touch.column);
                out.fact("push goes on", &[item, touch.on], goes_on);
            }
        }
        out.fact("path is there", &[], step.optional || build.filled(step.slot));
    }
    pushed
}

/// How far what is pushed, and what rides in it, can go down before it meets the fork or what is fast on it.
fn gap(build: &Build<'_>, pushed: &[usize], out: &mut Findings) {
    let rides = |item: usize, with: &dyn Fn(usize) -> bool| {
        build.host(item).is_some_and(with) && build.rule.slot(build.slots[item]).put_on != PutOn::Loose
    };
    let fast = |item: usize| {
        let pressed = build.seated[item].is_some_and(|s| s.on == 0 && s.press.is_some());
        item == 0 || pressed || rides(item, &|host| host == 0)
    };
    let moves = |item: usize| pushed.contains(&item) || rides(item, &|host| pushed.contains(&host));
    let least = build.rule.limits.gap_least.as_nm() as f64;
    for mover in build.all().filter(|&i| moves(i) && !fast(i)) {
        for stop in build.all().filter(|&i| fast(i)) {
            let (Some(foot), Some(base)) = (build.feet[mover], build.feet[stop]) else { continue };
            if let Some(height) = build.meets(stop, mover) {
                out.add("closing gap", &[mover, stop], foot - (base + height) - least);
            }
        }
    }
}

/// What stands still and what turns keep their distance, along the axis or across it.
fn still(build: &Build<'_>, play: &Play, out: &mut Findings) {
    let least = build.rule.limits.still_least.as_nm() as f64;
    let stands = |item: usize, column: &str| {
        build.rule.slot(build.slots[item]).still.iter().any(|s| s == "*" || s == column)
    };
    for a in build.all() {
        for b in build.all().filter(|&b| b != a) {
            let (Some(foot_a), Some(foot_b)) = (build.feet[a], build.feet[b]) else { continue };
            let off = play.between(a, b);
            let mut nearest = f64::INFINITY;
            for s in build.parts[a].rings.iter().filter(|r| stands(a, r.column)) {
                for t in build.parts[b].rings.iter().filter(|r| !stands(b, r.column)) {
                    let along = (s.foot + foot_a - t.top - foot_b).max(t.foot + foot_b - s.top - foot_a);
                    let across = (s.least() - t.most()).max(t.least() - s.most()) / 2.0;
                    let apart = off.map_or(along, |off| along.max(across - off));
                    nearest = nearest.min(apart);
                }
            }
            if nearest < f64::INFINITY {
                out.add("still against turning", &[a, b], nearest - least);
            }
        }
    }
}

/// What the system takes, how far a surface stands out, how deep a quill goes.
fn sizes(build: &Build<'_>, out: &mut Findings) {
    for rule in &build.rule.sizes {
        let bore = build.first_there(&rule.surface, true);
        let Some((surface, items)) = bore.or_else(|| build.first_there(&rule.surface, false)) else {
            out.fact("size is there", &[], false);
            continue;
        };
        for item in items {
            let part = &build.parts[item];
            let walls = part.bores(surface).map(|r| r.bore).chain(part.outsides(surface).map(|r| r.outside));
            for diameter in walls.flat_map(|w| w.at) {
                let limits = (rule.least.as_nm() as f64, rule.most.as_nm() as f64);
                out.within("size", &[item], diameter, limits);
            }
        }
    }
    for rule in &build.rule.stand_outs {
        let Some((surface, items)) = build.first_there(&rule.surface, false) else { continue };
        let Some(&above) = rule.above.iter().find(|&&s| build.filled(s)) else { continue };
        for item in items {
            let Some(zone) = build.zone(item, surface, false) else { continue };
            for top in build.in_slot(above).filter_map(|i| build.top(i)) {
                out.add("stands out", &[item], zone[1] - top - rule.least.as_nm() as f64);
            }
        }
    }
    for item in build.all() {
        let part = &build.parts[item];
        if let (Some(least), Some(foot), Some(top)) =
            (&part.features().insertion, build.feet[item], build.top(0))
        {
            out.add("insertion", &[item], top - foot - part.size(least));
        }
    }
}
