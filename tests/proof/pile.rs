//! Real parts dropped on one another: every dimension one number, plain arithmetic. Must share nothing with the
//! engine's way to a landing; takes from it only what a part looks like once it is seated.

#![allow(dead_code, reason = "each proof uses its own share of this")]

use benchleaf::assembly::{ItemIx, Mating, PlacedSegment, PlacedWall, Stack};
use benchleaf::quantity::{Ends, Form};
use benchleaf::rules::{PutOn, Rule};

/// A ring of metal, heights from its part's bottom; nanometres.
struct Ring<'s> {
    placed: &'s PlacedSegment,
    bottom: f64,
    top: f64,
    bore: [f64; 2],
    outside: [f64; 2],
    root: Option<f64>,
}

/// What the parts in hand came to.
pub struct Piled {
    /// Height of each item's bottom.
    pub bottoms: Vec<Option<f64>>,
    /// How far the push can go down; `None`: nothing beneath.
    pub gap: Option<f64>,
}

struct Slides {
    outer: (usize, &'static str),
    inner: (usize, &'static str),
    springs: f64,
}

/// A stack with what the rule says of its walls.
pub struct Pile<'s> {
    stack: &'s Stack,
    rule: &'s Rule,
    ends: Vec<Ends>,
    slides: Vec<Slides>,
}

/// The parts in hand cannot be: a wall without metal, or a sleeve too tight that is taken to slide.
struct Impossible;

pub fn value(form: &Form, sizes: &[i64]) -> f64 {
    let terms: f64 = form.terms.iter().map(|&(i, k)| k as f64 / 1e6 * sizes[i as usize] as f64).sum();
    form.constant as f64 + terms
}

impl<'s> Pile<'s> {
    pub fn new(stack: &'s Stack, rule: &'s Rule) -> Pile<'s> {
        let has = |item: usize, surface: &str, bore: bool| {
            stack.items[item].columns.iter().flat_map(|c| &c.segments).any(|s| {
                let wall = if bore { &s.bore } else { &s.outside };
                wall.surface == surface
            })
        };
        let all = || 0..stack.items.len();
        let mut slides = Vec::new();
        for sleeve in &rule.sleeves {
            let first = sleeve
                .inner
                .iter()
                .find(|r| all().any(|i| stack.items[i].slot == r.slot && has(i, r.surface, false)));
            let Some(first) = first else { continue };
            for outer in all().filter(|&i| stack.items[i].slot == sleeve.outer.slot) {
                for inner in all().filter(|&i| stack.items[i].slot == first.slot && i != outer) {
                    slides.push(Slides {
                        outer: (outer, sleeve.outer.surface),
                        inner: (inner, first.surface),
                        springs: sleeve.springs.as_nm() as f64,
                    });
                }
            }
        }
        Pile { stack, rule, ends: stack.dims.iter().map(|d| d.ends).collect(), slides }
    }

    /// Drops everything in order at these sizes. `None`: no such parts.
    pub fn dropped(&self, sizes: &[i64]) -> Option<Piled> {
        let rings: Option<Vec<Vec<Ring<'_>>>> =
            (0..self.stack.items.len()).map(|i| self.rings(i, sizes)).collect();
        let rings = rings?;
        let mut bottoms: Vec<Option<f64>> = vec![None; self.stack.items.len()];
        let mut supports: Vec<Vec<usize>> = vec![vec![]; self.stack.items.len()];
        let mut below: Vec<usize> = Vec::new();
        for (item, placed) in self.stack.items.iter().enumerate() {
            match self.rule.slot(placed.slot).put_on {
                PutOn::Fixed => {
                    bottoms[item] = placed.landing.as_ref()?.form.as_ref().map(|f| value(f, sizes))
                }
                PutOn::Chosen(_) => continue,
                PutOn::FromBelow => self.land(item, true, &below, &rings, &mut bottoms, &mut supports)?,
                _ => self.land(item, false, &below, &rings, &mut bottoms, &mut supports)?,
            }
            below.push(item);
        }
        let gap = self.gap(&rings, &bottoms, &supports)?;
        Some(Piled { bottoms, gap })
    }

    fn rings(&self, item: usize, sizes: &[i64]) -> Option<Vec<Ring<'_>>> {
        let mut rings = Vec::new();
        for column in &self.stack.items[item].columns {
            let mut bottom = value(&column.start, sizes);
            for placed in &column.segments {
                let ends = |wall: &PlacedWall| wall.diameter.each_ref().map(|d| value(d, sizes));
                let top = bottom + value(&placed.length, sizes);
                let (bore, outside) = (ends(&placed.bore), ends(&placed.outside));
                if top < bottom || bore[0] > outside[0] || bore[1] > outside[1] {
                    return None;
                }
                let root = placed.outside.root.as_ref().map(|r| value(r, sizes));
                rings.push(Ring { placed, bottom, top, bore, outside, root });
                bottom = top;
            }
        }
        Some(rings)
    }

    fn land(
        &self,
        item: usize,
        from_below: bool,
        below: &[usize],
        rings: &[Vec<Ring<'_>>],
        bottoms: &mut [Option<f64>],
        supports: &mut [Vec<usize>],
    ) -> Option<()> {
        let mut best: Option<f64> = None;
        for &pile in below {
            let Some(base) = bottoms[pile] else { continue };
            // From below the part is the lower one: the least height counts.
            let reach = if from_below {
                self.reach((item, &rings[item]), (pile, &rings[pile])).ok()?.map(|r| base - r)
            } else {
                self.reach((pile, &rings[pile]), (item, &rings[item])).ok()?.map(|r| base + r)
            };
            let Some(height) = reach else { continue };
            let better = |a: f64, b: f64| if from_below { a < b - 0.01 } else { a > b + 0.01 };
            if best.is_none_or(|b| better(height, b)) {
                best = Some(height);
                supports[item] = vec![pile];
            } else if best.is_some_and(|b| !better(b, height)) {
                supports[item].push(pile);
            }
        }
        bottoms[item] = best;
        Some(())
    }

    /// How high the upper's bottom is above the lower's bottom when they touch; `None`: they pass.
    fn reach(
        &self,
        lower: (usize, &[Ring<'_>]),
        upper: (usize, &[Ring<'_>]),
    ) -> Result<Option<f64>, Impossible> {
        let mut highest: Option<f64> = None;
        for over in lower.1 {
            for under in upper.1 {
                let Some((from, to)) = self.shared((lower.0, over), (upper.0, under))? else { continue };
                let mut stops: Vec<f64> = [over.bore, over.outside, under.bore, under.outside].concat();
                stops.retain(|d| *d > from && *d < to);
                stops.extend([from, to]);
                stops.sort_by(f64::total_cmp);
                for pair in stops.windows(2).filter(|p| p[1] - p[0] > 1e-4) {
                    let apart = |d: f64| over.top_at(d) - under.bottom_at(d);
                    // Straight between two stops: from two points within, on to both ends.
                    let step = (pair[1] - pair[0]) / 3.0;
                    let (a, b) = (apart(pair[0] + step), apart(pair[1] - step));
                    let most = (2.0 * a - b).max(2.0 * b - a);
                    highest = Some(highest.map_or(most, |h: f64| h.max(most)));
                }
            }
        }
        Ok(highest)
    }

    /// Diameters that both rings have.
    fn shared(&self, a: (usize, &Ring<'_>), b: (usize, &Ring<'_>)) -> Result<Option<(f64, f64)>, Impossible> {
        if self.slide(a, b)? || self.slide(b, a)? {
            return Ok(None);
        }
        let from = a.1.least().max(b.1.least());
        let to = self.most_seen(a, b).min(self.most_seen(b, a));
        Ok((to - from > 1e-4).then_some((from, to)))
    }

    /// A male thread shows its mate's thread its root, everything else its crests.
    fn most_seen(&self, of: (usize, &Ring<'_>), by: (usize, &Ring<'_>)) -> f64 {
        match of.1.root {
            Some(root) if self.screwed((of.0, of.1.placed), (by.0, by.1.placed)) => root,
            _ => of.1.outside[0].max(of.1.outside[1]),
        }
    }

    /// The first ring slides over the second because the rule names them as a sleeve.
    fn slide(&self, outer: (usize, &Ring<'_>), inner: (usize, &Ring<'_>)) -> Result<bool, Impossible> {
        let (bore, outside) = (&outer.1.placed.bore, &inner.1.placed.outside);
        let Some(springs) = self.springs((outer.0, outer.1.placed), (inner.0, inner.1.placed)) else {
            return Ok(false);
        };
        let clear = outer.1.least() + springs - inner.1.outside[0].max(inner.1.outside[1]);
        if clear >= 0.0 {
            return Ok(true);
        }
        let widest = bore.diameter[0].minus(&outside.diameter[0]).most(&self.ends) as f64 + springs;
        if widest < 0.0 { Ok(false) } else { Err(Impossible) }
    }

    /// How far the first springs open over the second; `None`: the rule does not name them as a sleeve.
    pub fn springs(&self, outer: (usize, &PlacedSegment), inner: (usize, &PlacedSegment)) -> Option<f64> {
        let walls = ((outer.0, outer.1.bore.surface), (inner.0, inner.1.outside.surface));
        self.slides.iter().find(|s| (s.outer, s.inner) == walls).map(|s| s.springs)
    }

    /// The two are screwed together by these walls.
    pub fn screwed(&self, male: (usize, &PlacedSegment), female: (usize, &PlacedSegment)) -> bool {
        let one = |own: usize, other: usize, surface: &str| {
            let with = ItemIx(other as u16);
            let mates = &self.stack.items[own].mates;
            mates.iter().any(|m| m.how == Mating::Thread && m.item == with && m.surface == surface)
        };
        one(male.0, female.0, male.1.outside.surface) && one(female.0, male.0, female.1.bore.surface)
    }

    /// What the push goes through before it comes to the ring, by what each rests on.
    pub fn pushed(&self, supports: &[Vec<usize>]) -> Vec<usize> {
        let slot = |i: usize| self.stack.items[i].slot;
        let under_ring = |i: usize| self.rule.path.iter().skip(1).any(|p| p.slot == slot(i));
        let mut next: Vec<usize> = (0..supports.len()).filter(|&i| slot(i) == self.rule.pulled).collect();
        let mut pushed: Vec<usize> = Vec::new();
        while let Some(item) = next.pop() {
            if item != 0 && !pushed.contains(&item) && !under_ring(item) {
                pushed.push(item);
                next.extend(supports[item].iter().copied());
            }
        }
        pushed
    }

    /// The fork, and what is pressed on it or set in it.
    pub fn on_fork(&self, i: usize) -> bool {
        let placed = &self.stack.items[i];
        let chosen = matches!(self.rule.slot(placed.slot).put_on, PutOn::Chosen(_));
        let pressed = placed.mates.iter().any(|m| m.how == Mating::Press && m.item == ItemIx(0));
        i == 0 || ((pressed || placed.rides_with == Some(ItemIx(0))) && !chosen)
    }

    fn gap(
        &self,
        rings: &[Vec<Ring<'_>>],
        bottoms: &[Option<f64>],
        supports: &[Vec<usize>],
    ) -> Option<Option<f64>> {
        let pushed = self.pushed(supports);
        let mut least: Option<f64> = None;
        for &item in &pushed {
            for fixed in (0..bottoms.len()).filter(|&i| self.on_fork(i) && i != item) {
                let (Some(upper), Some(lower)) = (bottoms[item], bottoms[fixed]) else { continue };
                let reach = self.reach((fixed, &rings[fixed]), (item, &rings[item])).ok()?;
                let left = reach.map(|r| upper - lower - r);
                least = [least, left].into_iter().flatten().reduce(f64::min);
            }
        }
        Some(least)
    }
}

impl Ring<'_> {
    fn least(&self) -> f64 {
        self.bore[0].min(self.bore[1])
    }

    fn along(&self, wall: [f64; 2], d: f64) -> f64 {
        self.bottom + (self.top - self.bottom) * (d - wall[0]) / (wall[1] - wall[0])
    }

    fn top_at(&self, d: f64) -> f64 {
        let mut top = self.top;
        if self.bore[1] > self.bore[0] && d < self.bore[1] {
            top = top.min(self.along(self.bore, d));
        }
        if self.outside[1] < self.outside[0] && d > self.outside[1] {
            top = top.min(self.along(self.outside, d));
        }
        top
    }

    fn bottom_at(&self, d: f64) -> f64 {
        let mut bottom = self.bottom;
        if self.bore[1] < self.bore[0] && d < self.bore[0] {
            bottom = bottom.max(self.along(self.bore, d));
        }
        if self.outside[1] > self.outside[0] && d > self.outside[0] {
            bottom = bottom.max(self.along(self.outside, d));
        }
        bottom
    }
}
