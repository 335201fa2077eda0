//! What a clamp holds, where its bolts are, what closes there, and what slits there are. Must not know threads.

use super::judge::{Findings, NO, Sleeved};
use super::pile::Build;
use benchleaf::rules::Grip;

/// Parts held one inside the other, the clamp first, and the sleeve between each and the next.
struct Layers<'b> {
    items: Vec<usize>,
    least: Vec<Option<f64>>,
    sleeves: Vec<&'b Sleeved>,
}

pub fn grips(build: &Build<'_>, sleeves: &[Sleeved], out: &mut Findings) {
    for grip in &build.rule.grips {
        for clamp in build.in_slot(grip.by.slot) {
            if build.parts[clamp].bores(grip.by.surface).next().is_none() {
                let held_elsewhere = |slot| {
                    build.rule.grips.iter().any(|other| {
                        let there = build.parts[clamp].bores(other.by.surface).next().is_some();
                        other.by.slot == grip.by.slot && there && other.layers.iter().any(|l| l.slot == slot)
                    })
                };
                let mut asked = grip.layers.iter().filter(|l| l.least.is_some() && build.filled(l.slot));
                out.fact("something grips it", &[clamp], asked.all(|l| held_elsewhere(l.slot)));
                continue;
            }
            match layers(build, grip, clamp, sleeves) {
                Some(layers) => held(build, grip, &layers, out),
                None => out.fact("layers lie in one another", &[clamp], false),
            }
        }
    }
}

fn layers<'b>(build: &Build<'_>, grip: &Grip, clamp: usize, sleeves: &'b [Sleeved]) -> Option<Layers<'b>> {
    let mut layers = Layers { items: vec![clamp], least: vec![None], sleeves: vec![] };
    for layer in &grip.layers {
        let Some(item) = build.in_slot(layer.slot).next() else { continue };
        let outer = *layers.items.last()?;
        let first = outer == clamp;
        let between = |s: &&Sleeved| {
            s.outer == outer && s.inner == item && (!first || s.surfaces[0] == grip.by.surface)
        };
        layers.sleeves.push(sleeves.iter().find(between)?);
        layers.items.push(item);
        layers.least.push(layer.least.map(|l| l.as_nm() as f64));
    }
    (layers.items.len() > 1).then_some(layers)
}

fn held(build: &Build<'_>, grip: &Grip, layers: &Layers<'_>, out: &mut Findings) {
    let clamp = layers.items[0];
    let (Some(wall), Some(foot)) = (build.zone(clamp, grip.by.surface, true), build.feet[clamp]) else {
        return;
    };
    let everything = &layers.items[..];
    let mut common = wall;
    for (at, sleeve) in layers.sleeves.iter().enumerate() {
        let zones = [
            build.zone(sleeve.outer, sleeve.surfaces[0], true),
            build.zone(sleeve.inner, sleeve.surfaces[1], false),
        ];
        for zone in zones.into_iter().flatten() {
            common = [common[0].max(zone[0]), common[1].min(zone[1])];
        }
        if let Some(least) = layers.least[at + 1] {
            let about = &layers.items[..at + 2];
            out.add("length held", about, common[1] - common[0] - least);
        }
    }
    let beside =
        build.parts[clamp].pinches.iter().map(|p| p + foot).filter(|p| *p >= wall[0] && *p <= wall[1]);
    let bolts: Vec<f64> = beside.collect();
    out.fact("has a bolt", everything, !bolts.is_empty());
    for bolt in &bolts {
        out.add("bolt has all behind it", everything, (bolt - common[0]).min(common[1] - bolt));
    }
    for at in 0..layers.sleeves.len() {
        let about = &layers.items[..at + 2];
        out.add("closes", about, closes(build, grip, layers, at, &bolts));
    }
}

/// Room that a layer still has to close once it is down on all that is inside it: by its slit at each bolt, or by its wall.
fn closes(build: &Build<'_>, grip: &Grip, layers: &Layers<'_>, at: usize, bolts: &[f64]) -> f64 {
    let inside: f64 = layers.sleeves[at..].iter().map(|s| s.clearance[1]).sum();
    let gives = build.rule.sleeves[layers.sleeves[at].rule].springs.as_nm() as f64;
    let item = layers.items[at];
    let (part, Some(foot)) = (&build.parts[item], build.feet[item]) else { return NO };
    let past = grip.past.as_nm() as f64;
    let at_bolt = |bolt: &f64| {
        let slit = |slit: &super::part::Slit| {
            let mut room = slit.width / std::f64::consts::PI - inside;
            if slit.to < part.height - 1.0 {
                room = room.min(foot + slit.to - bolt - past);
            }
            if slit.from > 1.0 {
                room = room.min(bolt - (foot + slit.from) - past);
            }
            room
        };
        part.slits.iter().map(slit).fold(NO, f64::max)
    };
    if gives >= inside { gives - inside } else { bolts.iter().map(at_bolt).fold(f64::INFINITY, f64::min) }
}

pub fn slits(build: &Build<'_>, out: &mut Findings) {
    for rule in &build.rule.slits {
        for item in build.in_slot(rule.slot) {
            let slits = &build.parts[item].slits;
            let bridge = rule.bridged_by.and_then(|slot| build.in_slot(slot).next());
            match (rule.wanted, bridge) {
                (true, _) => out.fact("is slit", &[item], !slits.is_empty()),
                (false, None) => out.fact("is not slit", &[item], slits.is_empty()),
                (false, Some(_)) => {}
            }
            let Some(foot) = build.feet[item] else { continue };
            for slit in slits {
                let [from, to] = [foot + slit.from, foot + slit.to];
                if let (false, Some(bridge)) = (rule.wanted, bridge)
                    && let (Some(low), Some(high)) = (build.feet[bridge], build.top(bridge))
                {
                    let open = rule.unbridged.as_nm() as f64;
                    out.add("slit is bridged", &[item, bridge], (from + open - low).min(high - to + open));
                }
                let Some(bare) = rule.bare else { continue };
                let grips = build.rule.grips.iter().filter(|g| g.layers.iter().any(|l| l.slot == rule.slot));
                for clamp in grips.flat_map(|g| build.in_slot(g.by.slot)) {
                    if let Some(top) = build.top(clamp) {
                        out.add("slit above the clamp", &[item, clamp], bare.as_nm() as f64 - (to - top));
                    }
                }
            }
        }
    }
}
