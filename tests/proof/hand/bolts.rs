//! Threads, how much of them holds, how far a bolt can still be turned, and how a key gets to it. Must not know clamps.

use super::judge::Findings;
use super::pile::Build;
use benchleaf::assembly::Strengths;
use benchleaf::rules::PutOn;

pub struct Screwed {
    pub pair: usize,
    pub male: usize,
    pub female: usize,
    pub surfaces: [&'static str; 2],
    pub matches: bool,
}

/// Pairs that the rule screws together.
pub fn screwed(build: &Build<'_>) -> Vec<Screwed> {
    let mut found = vec![];
    for (pair, rule) in build.rule.threads.iter().enumerate() {
        let male = build.first_there(&rule.male, false);
        let female = build.first_there(&rule.female, true);
        let (Some((outside, males)), Some((bore, females))) = (male, female) else { continue };
        for &male in &males {
            for &female in females.iter().filter(|&&f| f != male) {
                let thread = |item: usize, surface: &str| {
                    let threads = &build.parts[item].features().threads;
                    threads.iter().find(|t| t.surface == surface).map(|t| t.thread)
                };
                let threads = (thread(male, outside), thread(female, bore));
                let matches = threads.0.is_some() && threads.0 == threads.1;
                found.push(Screwed { pair, male, female, surfaces: [outside, bore], matches });
            }
        }
    }
    found
}

pub fn threads(build: &Build<'_>, strengths: &dyn Strengths, out: &mut Findings) {
    let all = screwed(build);
    for screw in &all {
        let about = [screw.male, screw.female];
        out.fact("threads match", &about, screw.matches);
        let rule = &build.rule.threads[screw.pair];
        let shapes = (build.parts[screw.male].shape, build.parts[screw.female].shape);
        let needed = rule.engagement_least.or_else(|| strengths.engagement_needed(shapes.0, shapes.1));
        let zones = (
            build.zone(screw.male, screw.surfaces[0], false),
            build.zone(screw.female, screw.surfaces[1], true),
        );
        if let (Some(needed), (Some(male), Some(female))) = (needed, zones) {
            let engaged = male[1].min(female[1]) - male[0].max(female[0]);
            out.add("engagement", &about, engaged - needed.as_nm() as f64);
        }
        if let Some(least) = rule.spare_least {
            spare(build, screw, least.as_nm() as f64, out);
        }
    }
    // A fastener that nothing takes.
    for item in build.all().filter(|&i| build.rule.slot(build.slots[i]).put_on == PutOn::Threaded) {
        out.fact("screwed in", &[item], all.iter().any(|s| s.male == item || s.female == item));
    }
}

/// How far it can still be turned in before it meets what its mate is fast in.
fn spare(build: &Build<'_>, screw: &Screwed, least: f64, out: &mut Findings) {
    let (mover, mate) = if screw.male == 0 { (screw.female, screw.male) } else { (screw.male, screw.female) };
    let from_below = build.rule.slot(build.slots[mover]).put_on == PutOn::FromBelow;
    let host = build.host(mate);
    let goes_with = |i: usize| i == mate || Some(i) == host || (host.is_some() && build.host(i) == host);
    for other in build.all().filter(|&i| i != mover && goes_with(i)) {
        let (Some(foot), Some(base)) = (build.feet[mover], build.feet[other]) else { continue };
        let room = match from_below {
            true => build.meets(mover, other).map(|h| base - (foot + h)),
            false => build.meets(other, mover).map(|h| foot - (base + h)),
        };
        if let Some(room) = room {
            out.add("spare travel", &[mover, other], room - least);
        }
    }
}

/// The key that turns it goes straight in from where the rule says, past everything that is on by then.
pub fn keys(build: &Build<'_>, out: &mut Findings) {
    for item in build.all() {
        let Some(drive) = build.parts[item].features().drive.as_ref().filter(|d| d.is_straight()) else {
            continue;
        };
        let steps = &build.rule.steps;
        let slot = build.slots[item];
        let Some(at) = steps.iter().position(|s| s.slot == Some(slot) && s.say.contains("{tool}")) else {
            continue;
        };
        let above = match steps[at].reach.as_deref() {
            Some("above") => true,
            Some("below") => false,
            _ => continue,
        };
        let corners = drive.size.as_nm() as f64 * 2.0 / 3.0_f64.sqrt();
        let (Some(foot), Some(top)) = (build.feet[item], build.top(item)) else { continue };
        let on =
            |&other: &usize| other != item && steps[..at].iter().any(|s| s.slot == Some(build.slots[other]));
        for other in build.all().filter(on) {
            let Some(base) = build.feet[other] else { continue };
            for ring in &build.parts[other].rings {
                let beside = if above { top - (base + ring.top) } else { base + ring.foot - foot };
                out.add("way for the key", &[item, other], beside.max(ring.least() - corners));
            }
        }
    }
}
