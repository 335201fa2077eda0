//! How far two parts can be off centre from each other: by the clearances of what guides them.
//!
//! Every sleeve the rule names is a guide with its widest clearance; a screwed thread, a pressed seat and a
//! cone in its cone guide without play. Two parts drift at most by the shortest chain of guides between them.
//! Must not know limits.

use super::build::Build;
use super::report::{Contact, ItemIx};

/// Half the play, nanometres, by pair of items. `None`: nothing centres the one on the other.
pub struct Drift {
    count: usize,
    play: Vec<i64>,
}

const LOOSE: i64 = i64::MAX / 4;

impl Drift {
    pub fn of(build: &Build<'_>) -> Drift {
        let count = build.items.len();
        let mut drift = Drift { count, play: vec![LOOSE; count * count] };
        for i in 0..count {
            drift.play[i * count + i] = 0;
        }
        for sleeve in &build.links.sleeves {
            let play = sleeve.clearances.iter().map(|c| c.most(&build.dims)).max().unwrap_or(LOOSE);
            drift.guide(sleeve.outer.0, sleeve.inner.0, play.max(0));
        }
        for screw in build.links.screws.iter().filter(|s| s.matches) {
            drift.guide(screw.male.0, screw.female.0, 0);
        }
        for item in build.all() {
            if let Some(seated) = &build.item(item).seated {
                drift.guide(item, seated.on.0, 0);
            }
            // What is only inside its host, neither pressed nor screwed in, has the play of its sleeve.
            if let Some(host) = build.host(item).filter(|_| fast(build, item)) {
                drift.guide(item, host, 0);
            }
            for other in coned(build, item) {
                drift.guide(item, other, 0);
            }
        }
        drift.close();
        drift
    }

    /// Radial drift, rounded up.
    pub fn between(&self, a: ItemIx, b: ItemIx) -> Option<i64> {
        let play = self.play[a.0 as usize * self.count + b.0 as usize];
        (play < LOOSE).then_some((play + 1) / 2)
    }

    fn guide(&mut self, a: ItemIx, b: ItemIx, play: i64) {
        for (x, y) in [(a.0 as usize, b.0 as usize), (b.0 as usize, a.0 as usize)] {
            let cell = &mut self.play[x * self.count + y];
            *cell = (*cell).min(play);
        }
    }

    fn close(&mut self) {
        let n = self.count;
        for via in 0..n {
            for from in 0..n {
                let first = self.play[from * n + via];
                if first >= LOOSE {
                    continue;
                }
                for to in 0..n {
                    let through = first + self.play[via * n + to];
                    if through < self.play[from * n + to] {
                        self.play[from * n + to] = through;
                    }
                }
            }
        }
    }
}

fn fast(build: &Build<'_>, item: ItemIx) -> bool {
    let screwed =
        |screw: &super::links::Screwed| screw.matches && [screw.male.0, screw.female.0].contains(&item);
    build.item(item).seated.is_some() || build.links.screws.iter().any(screwed)
}

/// Items that this one sits on by a cone in every case.
fn coned(build: &Build<'_>, item: ItemIx) -> Vec<ItemIx> {
    let cone_touches = |case: &super::case::Case| -> Vec<ItemIx> {
        let stand = &case.stands[item.0 as usize];
        stand.touches.iter().filter(|t| t.contact == Contact::Cone).map(|t| t.item).collect()
    };
    let Some((first, rest)) = build.cases.split_first() else { return Vec::new() };
    let mut found = cone_touches(first);
    found.retain(|i| rest.iter().all(|case| cone_touches(case).contains(i)));
    found
}
