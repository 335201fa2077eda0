//! How far two real parts can be off centre from each other: what guides one on the other leaves them so much. Must not know limits.

use super::judge::Sleeved;
use super::pile::{Build, Seat};

pub struct Play(Vec<Vec<f64>>);

impl Play {
    /// Parts guide each other where they are beside each other: a sleeve by half its clearance, cones, presses and threads not at all.
    /// The least sum along any chain of guides is how far two can be off.
    pub fn of(build: &Build<'_>, sleeves: &[Sleeved]) -> Play {
        let count = build.parts.len();
        let mut off = vec![vec![f64::INFINITY; count]; count];
        let mut guide = |a: usize, b: usize, by: f64| {
            off[a][b] = off[a][b].min(by);
            off[b][a] = off[b][a].min(by);
        };
        for item in 0..count {
            guide(item, item, 0.0);
            if let Some(seated) = build.seated[item] {
                guide(item, seated.on, 0.0);
            }
            for touch in build.touches[item].iter().filter(|t| matches!(t.seat, Seat::Cone(_))) {
                guide(item, touch.on, 0.0);
            }
        }
        for sleeve in sleeves.iter().filter(|s| s.beside) {
            guide(sleeve.outer, sleeve.inner, sleeve.clearance[1].max(0.0) / 2.0);
        }
        for screwed in super::bolts::screwed(build).iter().filter(|s| s.matches) {
            guide(screwed.male, screwed.female, 0.0);
        }
        for via in 0..count {
            for from in 0..count {
                for to in 0..count {
                    off[from][to] = off[from][to].min(off[from][via] + off[via][to]);
                }
            }
        }
        Play(off)
    }

    /// `None`: nothing centres the one on the other.
    pub fn between(&self, a: usize, b: usize) -> Option<f64> {
        Some(self.0[a][b]).filter(|off| off.is_finite())
    }
}
