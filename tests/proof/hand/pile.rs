//! Real parts dropped on one another: where each lands, on what, and over which diameters it touches.
//! Knows the rule's slots and which walls it says slide or screw. Must not know what is asked of a build.

use super::part::{Part, Ring};
use benchleaf::kinds::Shape;
use benchleaf::rules::{PutOn, Rule, SlotIx};

/// What lies closer than this lies on it: a third of a thousandth of a millimetre.
const TOUCHES: f64 = 300.0;

/// Rims no wider than this, in diameter, are edges.
const RIM: f64 = 2_000.0;

/// A part of the list: where it belongs, and what it is made like.
#[derive(Clone, Copy)]
pub struct Listed<'s> {
    pub slot: SlotIx,
    pub shape: &'s Shape,
    pub turned: bool,
}

/// Where one part lies on another.
#[derive(Clone, Debug)]
pub struct Touch {
    pub on: usize,
    pub own_column: &'static str,
    pub column: &'static str,
    pub seat: Seat,
}

#[derive(Clone, Debug)]
pub enum Seat {
    /// Two flats, each from a diameter to a diameter.
    Flat { own: [f64; 2], other: [f64; 2] },
    /// Two cones of one angle, along diameters.
    Cone([f64; 2]),
    /// An edge, or two slopes that differ.
    Edge,
}

pub struct Build<'s> {
    pub rule: &'s Rule,
    pub slots: Vec<SlotIx>,
    pub parts: Vec<Part<'s>>,
    /// Sizes as made of walls that took a seat's diameter: own surface, as made, the seat's, on which part.
    pub seated: Vec<Option<Seated>>,
    pub feet: Vec<Option<f64>>,
    pub touches: Vec<Vec<Touch>>,
}

#[derive(Clone, Copy)]
pub struct Seated {
    pub made: f64,
    pub seat: f64,
    pub on: usize,
    pub in_bore: bool,
    /// Index of the press; `None`: a split ring.
    pub press: Option<usize>,
}

/// How high the upper part's foot stands over the lower one's when they meet.
struct Meeting {
    height: f64,
    touches: Vec<(Touch, [f64; 2])>,
}

impl<'s> Build<'s> {
    /// Dropped in order, but for what is set at a chosen height. `None`: such parts cannot be.
    pub fn dropped(rule: &'s Rule, list: &[Listed<'s>], sizes: &[Vec<i64>]) -> Option<Build<'s>> {
        let parts: Option<Vec<Part>> =
            list.iter().zip(sizes).map(|(l, s)| Part::in_hand(l.shape, l.turned, s)).collect();
        let count = list.len();
        let mut build = Build {
            rule,
            slots: list.iter().map(|l| l.slot).collect(),
            parts: parts?,
            seated: vec![None; count],
            feet: vec![None; count],
            touches: vec![vec![]; count],
        };
        for item in 0..count {
            build.take_seat(item);
        }
        for item in 0..count {
            match rule.slot(build.slots[item]).put_on {
                PutOn::Fixed => build.feet[item] = Some(-build.parts[item].datum),
                PutOn::Chosen(_) => {}
                put_on => build.land(item, put_on == PutOn::FromBelow),
            }
        }
        Some(build)
    }

    pub fn all(&self) -> std::ops::Range<usize> {
        0..self.parts.len()
    }

    pub fn in_slot(&self, slot: SlotIx) -> impl Iterator<Item = usize> + '_ {
        self.all().filter(move |&i| self.slots[i] == slot)
    }

    pub fn filled(&self, slot: SlotIx) -> bool {
        self.in_slot(slot).next().is_some()
    }

    pub fn is_chosen(&self, item: usize) -> bool {
        matches!(self.rule.slot(self.slots[item]).put_on, PutOn::Chosen(_))
    }

    pub fn host(&self, item: usize) -> Option<usize> {
        self.rule.slot(self.slots[item]).host.and_then(|slot| self.in_slot(slot).next())
    }

    fn take_seat(&mut self, item: usize) {
        let features = self.parts[item].features();
        let slot = self.slots[item];
        let has =
            |part: &Part, surface: &str| part.bores(surface).chain(part.outsides(surface)).next().is_some();
        let press = self
            .rule
            .presses
            .iter()
            .position(|p| p.wall.slot == slot && has(&self.parts[item], p.wall.surface));
        let (surface, press) = match press {
            Some(press) => (self.rule.presses[press].wall.surface, Some(press)),
            None if features.split_ring => ("bore", None),
            None => return,
        };
        let own_bore = self.parts[item].bores(surface).next().map(|r| r.bore.at[0]);
        let own_outside = self.parts[item].outsides(surface).next().map(|r| r.outside.at[0]);
        let seat_of = |on: usize, seat: &str| match own_bore {
            Some(_) => self.parts[on].outsides(seat).next().map(|r| r.outside.at[0]),
            None => self.parts[on].bores(seat).next().map(|r| r.bore.at[0]),
        };
        let seats: Vec<(SlotIx, &str)> = match press {
            Some(press) => self.rule.presses[press].seat.iter().map(|s| (s.slot, s.surface)).collect(),
            None => vec![(SlotIx(0), "steerer")],
        };
        let seat = seats.iter().find_map(|&(slot, surface)| {
            self.in_slot(slot).find_map(|on| seat_of(on, surface).map(|seat| (on, seat)))
        });
        let (Some((on, seat)), Some(made)) = (seat, own_bore.or(own_outside)) else { return };
        self.seated[item] = Some(Seated { made, seat, on, in_bore: own_bore.is_none(), press });
        match press {
            Some(_) => self.parts[item].press(surface, seat),
            None => self.parts[item].close_to(seat),
        }
    }

    fn land(&mut self, item: usize, from_below: bool) {
        let mut best: Option<f64> = None;
        let mut found: Vec<(f64, Vec<Touch>)> = vec![];
        for other in 0..item {
            let Some(foot) = self.feet[other] else { continue };
            let meeting = if from_below { self.meet(item, other) } else { self.meet(other, item) };
            let Some(meeting) = meeting else { continue };
            let height = if from_below { foot - meeting.height } else { foot + meeting.height };
            best = Some(best.map_or(height, |b| if from_below { b.min(height) } else { b.max(height) }));
            found.push((height, meeting.touches.into_iter().map(|t| t.0).collect()));
        }
        self.feet[item] = best;
        let there = found.into_iter().filter(|(h, _)| best.is_some_and(|b| (b - h).abs() <= TOUCHES));
        let touches: Vec<Touch> = there.flat_map(|(_, t)| t).collect();
        self.touches[item] = touches;
    }

    /// The upper's foot over the lower's foot when they meet; `None`: they pass each other.
    pub fn meets(&self, lower: usize, upper: usize) -> Option<f64> {
        let pairs = self.pairs(lower, upper);
        pairs.iter().flat_map(|p| p.stops.iter().map(|s| s.1)).reduce(f64::max)
    }

    fn meet(&self, lower: usize, upper: usize) -> Option<Meeting> {
        let pairs = self.pairs(lower, upper);
        let height = pairs.iter().flat_map(|p| p.stops.iter().map(|s| s.1)).reduce(f64::max)?;
        let from_below =
            matches!(self.rule.slot(self.slots[lower]).put_on, PutOn::FromBelow) && lower > upper;
        let on = if from_below { upper } else { lower };
        let mut touches: Vec<(Touch, [f64; 2])> = vec![];
        let mut edges = vec![];
        for pair in &pairs {
            let (own, other) = if from_below { (pair.over, pair.under) } else { (pair.under, pair.over) };
            let touch = |seat| Touch { on, own_column: own.column, column: other.column, seat };
            for part in pair.stops.windows(2) {
                let [from, to] = [part[0].0, part[1].0];
                let met = [part[0].1, part[1].1].map(|h| height - h <= TOUCHES);
                // A rim so narrow that nobody can say whether it is one touches as an edge does.
                if met == [true, true] && to - from > RIM {
                    let middle = (from + to) / 2.0;
                    let angles =
                        (pair.over.face(true, middle).half_angle, pair.under.face(false, middle).half_angle);
                    let flats = [own.flat(from_below), other.flat(!from_below)];
                    let seat = match angles {
                        (None, None) => Seat::Flat { own: flats[0], other: flats[1] },
                        (Some(a), Some(b)) if a == b => Seat::Cone([from, to]),
                        _ => Seat::Edge,
                    };
                    touches.push((touch(seat), [from, to]));
                } else {
                    let met = [(met[0], from), (met[1], to)].into_iter().filter(|m| m.0);
                    edges.extend(met.map(|(_, d)| (touch(Seat::Edge), d)));
                }
            }
        }
        for (edge, at) in edges {
            // Where a face ends is no edge of its own.
            if !touches.iter().any(|(_, [from, to])| at >= from - RIM && at <= to + RIM) {
                touches.push((edge, [at, at]));
            }
        }
        Some(Meeting { height, touches })
    }

    /// Rings of the two that are above one another, with what is between them at each diameter where that changes.
    fn pairs(&self, lower: usize, upper: usize) -> Vec<Pair<'_>> {
        let mut pairs = vec![];
        for over in &self.parts[lower].rings {
            for under in &self.parts[upper].rings {
                let from = over.least().max(under.least());
                let to = self.seen(lower, over, upper, under).min(self.seen(upper, under, lower, over));
                if to - from < 1.0 || self.springs_over((lower, over), (upper, under)) {
                    continue;
                }
                let walls = [over.bore.at, over.outside.at, under.bore.at, under.outside.at].concat();
                let mut at: Vec<f64> = walls.into_iter().filter(|d| *d > from && *d < to).collect();
                at.extend([from, to]);
                at.sort_by(f64::total_cmp);
                at.dedup_by(|a, b| *a - *b < 1.0);
                let between = |d: f64| over.face(true, d).height - under.face(false, d).height;
                pairs.push(Pair { over, under, stops: at.into_iter().map(|d| (d, between(d))).collect() });
            }
        }
        pairs
    }

    /// How wide a ring is to another: a male thread shows its mate's thread its root, everything else its crests.
    fn seen(&self, item: usize, ring: &Ring, other: usize, by: &Ring) -> f64 {
        match ring.outside.root {
            Some(root) if self.screw((item, ring), (other, by)) => root,
            _ => ring.most(),
        }
    }

    /// The rule screws these two walls together, and they are of one thread.
    fn screw(&self, male: (usize, &Ring), female: (usize, &Ring)) -> bool {
        let one = male.1.outside.thread.is_some() && male.1.outside.thread == female.1.bore.thread;
        let named = |list: &[benchleaf::rules::SurfaceRef], item: usize, surface: &str| {
            list.iter().any(|s| s.slot == self.slots[item] && s.surface == surface)
        };
        one && self.rule.threads.iter().any(|pair| {
            named(&pair.male, male.0, male.1.outside.surface)
                && named(&pair.female, female.0, female.1.bore.surface)
        })
    }

    /// One springs open over the other: a hair too narrow stops nothing.
    fn springs_over(&self, a: (usize, &Ring), b: (usize, &Ring)) -> bool {
        [(a, b), (b, a)].into_iter().any(|(outer, inner)| {
            self.rule.sleeves.iter().any(|sleeve| {
                let named = sleeve.outer.slot == self.slots[outer.0]
                    && sleeve.outer.surface == outer.1.bore.surface
                    && sleeve
                        .inner
                        .iter()
                        .any(|i| i.slot == self.slots[inner.0] && i.surface == inner.1.outside.surface);
                named && outer.1.least() + sleeve.springs.as_nm() as f64 >= inner.1.most()
            })
        })
    }
}

struct Pair<'r> {
    over: &'r Ring,
    under: &'r Ring,
    /// Diameters, and how high the upper's foot is over the lower's when they meet there.
    stops: Vec<(f64, f64)>,
}
