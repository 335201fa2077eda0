//! How the two ends of a part are told apart in the hand, found from its metal whatever its kind: the end that is
//! slotted, recessed or chamfered, the wider one, the longer one with its length.
//!
//! A mark is said only where it is true of every part within its tolerances. Must not know words, nor which way up a
//! plan has the part.
//!
//! The mark of its kind where finger or eye finds it, else the slotted, threaded, wider, chamfered or recessed end, else the
//! longer end with its length, else what a caliper reads at both ends.

use super::possible::ends;
use super::{Column, Cut, NO_SURFACE, Segment, Shape, Wall};
use crate::quantity::{Ends, Form};

/// A step in a diameter, or a stretch of it, that finger and eye find at an end. Common practice, no source.
const FELT: i64 = 500_000;
/// By how much two lengths must differ for the longer one to be seen. Common practice, no source.
const SEEN: i64 = 2_000_000;
/// By how much two readings of a caliper must differ to be sure of the greater: twice the error of a bore or a depth,
/// rounded up. Common practice, no source.
const READ: i64 = 100_000;
/// A wider stretch of bore no longer than this share of the part is a recess. Common practice, no source.
const RECESS: i64 = 4;

/// One end of a part, and by what it is known.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct EndMark {
    /// Key into the book's words.
    pub feature: &'static str,
    /// As drawn, is it the upper end?
    pub at_top: bool,
    /// What is measured there, and at the other end; nominal, nanometres. `None`: it is seen without measuring.
    pub reads: Option<(i64, i64)>,
    /// Seen or felt at a glance; otherwise both ends have to be measured.
    pub plain: bool,
}

/// Every feature that an [`EndMark`] found here may have. Those that kinds give are in the kinds' own `marks`.
pub const END_FEATURES: [&str; 20] = [
    "slotted-end",
    "open-end",
    "threaded-end",
    "wide-end",
    "chamfered-end",
    "large-chamfer",
    "outer-chamfer",
    "large-outer-chamfer",
    "recessed-end",
    "wide-bore",
    "bore-chamfer",
    "large-bore-chamfer",
    "inner-chamfer",
    "large-inner-chamfer",
    "to-shelf",
    "to-groove",
    "to-collar",
    "to-bolt",
    "outside-reads",
    "bore-reads",
];

/// What an end is known by where nothing that is made differs enough to be measured.
pub const UNTOLD: &str = "untold";

/// The best mark of this part: what its kind gives where that can be seen, else what is seen at a glance, else what a
/// caliper tells. Never nothing: the last resort is [`UNTOLD`].
pub fn telling_end(shape: &Shape) -> EndMark {
    let bench = Bench { shape, ends: ends(&shape.dims) };
    let found = bench.found();
    let own = shape.features.marks.first().filter(|_| bench.across().next().is_some());
    let own = own.map(|m| EndMark { feature: m.feature, at_top: m.at_top, reads: None, plain: true });
    let plainest = || found.iter().find(|m| m.plain).or(found.first()).copied();
    own.or_else(plainest).unwrap_or(EndMark { feature: UNTOLD, at_top: true, reads: None, plain: false })
}

struct Bench<'s> {
    shape: &'s Shape,
    ends: Vec<Ends>,
}

/// A wall where it ends in a face of the part, with its ring.
#[derive(Clone, Copy)]
struct Rim<'s> {
    column: &'s Column,
    segment: &'s Segment,
    wall: &'s Wall,
    diameter: &'s Form,
}

impl<'s> Bench<'s> {
    /// In the order in which a hand tries them.
    fn found(&self) -> Vec<EndMark> {
        let mut found = vec![];
        found.extend(self.slotted());
        found.extend(self.threaded());
        found.extend(self.across());
        let (outsides, bores) = (self.outsides(), self.bores());
        let runs = [bores.map(|b| (b, bore as Side)), outsides.map(|o| (o, outside as Side))];
        found.extend(runs.into_iter().flatten().filter_map(|(rims, side)| self.run(rims, side)));
        found.extend(self.bolts());
        found.extend(outsides.and_then(|(low, high)| self.reads(low, high, "outside-reads")));
        found.extend(bores.and_then(|(low, high)| self.reads(low, high, "bore-reads")));
        found
    }

    fn outsides(&self) -> Option<(Rim<'s>, Rim<'s>)> {
        self.rim(false, outside, i64::max).zip(self.rim(true, outside, i64::max))
    }

    fn bores(&self) -> Option<(Rim<'s>, Rim<'s>)> {
        self.rim(false, bore, i64::min).zip(self.rim(true, bore, i64::min))
    }

    /// What is felt of how wide the two faces are, outside and inside.
    fn across(&self) -> impl Iterator<Item = EndMark> {
        let outsides = self.outsides().and_then(|rims| self.felt(rims, |w, n| self.outside_feature(w, n)));
        let bores = self.bores().and_then(|rims| self.felt(rims, |w, n| self.bore_feature(w, n)));
        outsides.into_iter().chain(bores)
    }

    fn nominal(&self, form: &Form) -> i64 {
        form.nominal(&self.ends)
    }

    fn least(&self, form: &Form) -> i64 {
        form.least(&self.ends)
    }

    /// A cut that begins at one end and leaves the other whole; none where both ends are cut.
    fn slotted(&self) -> Option<EndMark> {
        let height = &self.shape.height;
        let cuts = &self.shape.features.cuts;
        let at_bottom = |cut: &&Cut| self.nominal(&cut.from) <= 0;
        let at_top = |cut: &&Cut| self.nominal(&height.minus(&cut.to)) <= 0;
        let (low, high) = (cuts.iter().find(at_bottom), cuts.iter().find(at_top));
        let (cut, at_top) = match (low, high) {
            (Some(cut), None) => (cut, false),
            (None, Some(cut)) => (cut, true),
            _ => return None,
        };
        let rest = if at_top { cut.from.clone() } else { height.minus(&cut.to) };
        let seen = self.least(&cut.to.minus(&cut.from)) >= FELT && self.least(&rest) >= FELT;
        seen.then_some(plain("slotted-end", at_top))
    }

    /// A thread that begins at one end only.
    fn threaded(&self) -> Option<EndMark> {
        let female =
            |wall: &Wall| self.shape.features.threads.iter().any(|t| !t.male && t.surface == wall.surface);
        let [low, high] = [false, true]
            .map(|top| self.ending(top).any(|(_, s)| s.outside.root.is_some() || female(&s.bore)));
        (low != high).then_some(plain("threaded-end", high))
    }

    /// Rings that end in the part's lower or upper face.
    fn ending(&self, top: bool) -> impl Iterator<Item = (&'s Column, &'s Segment)> {
        let reaches = move |column: &&Column| {
            let low = self.nominal(&column.start);
            match top {
                false => low <= 0,
                true => {
                    let long: i64 = column.segments.iter().map(|s| self.nominal(&s.length)).sum();
                    low + long >= self.nominal(&self.shape.height)
                }
            }
        };
        let at_end =
            move |c: &'s Column| Some((c, if top { c.segments.last() } else { c.segments.first() }?));
        self.shape.columns.iter().filter(reaches).filter_map(at_end)
    }

    /// Of the rings in a face, the wall that is widest, or narrowest.
    fn rim(&self, top: bool, side: Side, choose: fn(i64, i64) -> i64) -> Option<Rim<'s>> {
        let rims = self.ending(top).map(|(column, segment)| {
            let wall = side(segment);
            Rim { column, segment, wall, diameter: &wall.diameter[usize::from(top)] }
        });
        rims.reduce(|a, b| {
            let (one, other) = (self.nominal(a.diameter), self.nominal(b.diameter));
            if choose(one, other) == one { a } else { b }
        })
    }

    /// The two faces differ so much across that no caliper is needed.
    fn felt(
        &self,
        (low, high): (Rim, Rim),
        feature: impl Fn(Rim, Rim) -> (&'static str, bool),
    ) -> Option<EndMark> {
        let at_top = self.nominal(high.diameter) > self.nominal(low.diameter);
        let (wide, narrow) = if at_top { (high, low) } else { (low, high) };
        let step = self.least(&wide.diameter.minus(narrow.diameter));
        let (feature, at_wide) = feature(wide, narrow);
        let (told, other) = if at_wide { (wide, narrow) } else { (narrow, wide) };
        let long = |rim: Rim| self.least(&rim.segment.length) >= FELT;
        // Beside a chamfer it is the other one that may be as small as it likes.
        (step >= FELT && long(told) && (long(other) || other.wall.taper.is_some()))
            .then_some(plain(feature, at_top == at_wide))
    }

    /// What tells the ends apart by their outsides, and whether it is at the wider one.
    fn outside_feature(&self, wide: Rim, narrow: Rim) -> (&'static str, bool) {
        let outer = wide.column.name == "outer" && narrow.column.name == "outer";
        match self.chamfered(narrow, wide) {
            Chamfered::Alone if outer => ("outer-chamfer", false),
            Chamfered::Alone => ("chamfered-end", false),
            Chamfered::More if outer => ("large-outer-chamfer", false),
            Chamfered::More => ("large-chamfer", false),
            Chamfered::Not => ("wide-end", true),
        }
    }

    fn bore_feature(&self, wide: Rim, narrow: Rim) -> (&'static str, bool) {
        let inner = wide.column.name == "inner" && narrow.column.name == "inner";
        let feature = match self.chamfered(wide, narrow) {
            _ if narrow.wall.surface == NO_SURFACE => "open-end",
            Chamfered::Alone if inner => "inner-chamfer",
            Chamfered::Alone => "bore-chamfer",
            Chamfered::More if inner => "large-inner-chamfer",
            Chamfered::More => "large-bore-chamfer",
            Chamfered::Not if self.recessed(wide, narrow) => "recessed-end",
            Chamfered::Not => "wide-bore",
        };
        (feature, true)
    }

    /// A short stretch bored out, and no such stretch at the other end.
    fn recessed(&self, wide: Rim, narrow: Rim) -> bool {
        let [only] = &self.shape.columns[..] else { return false };
        let rest = only.segments.iter().flat_map(|s| &s.bore.diameter);
        let narrowest = rest.map(|d| self.nominal(d)).min();
        wide.wall.taper.is_none() && self.short(wide) && narrowest == Some(self.nominal(narrow.diameter))
    }

    fn short(&self, rim: Rim) -> bool {
        RECESS * self.nominal(&rim.segment.length) <= self.nominal(&self.shape.height)
    }

    /// Whether a chamfer tells this end from the other.
    fn chamfered(&self, end: Rim, other: Rim) -> Chamfered {
        let deep = |rim: Rim| {
            let inner = rim.wall.diameter.iter().find(|d| !std::ptr::eq(*d, rim.diameter))?;
            let change = self.nominal(inner) - self.nominal(rim.diameter);
            let inside = std::ptr::eq(rim.wall, &rim.segment.bore);
            rim.wall.taper.map(|_| if inside { -change } else { change })
        };
        match (deep(end).filter(|&d| d >= FELT && self.short(end)), deep(other)) {
            (Some(_), None) => Chamfered::Alone,
            (Some(more), Some(less)) if less >= 0 && more - less >= FELT => Chamfered::More,
            _ => Chamfered::Not,
        }
    }

    /// How far it is from each face to where the wall first changes: shelf, groove or collar.
    fn run(&self, (low, high): (Rim, Rim), side: Side) -> Option<EndMark> {
        if !std::ptr::eq(low.column, high.column) {
            return None;
        }
        let rings = &low.column.segments;
        let upward = self.until_change(rings.iter(), side, [0, 1])?;
        let downward = self.until_change(rings.iter().rev(), side, [1, 0])?;
        self.longer(&upward.0, &downward.0, upward.1).filter(|_| upward.1 == downward.1)
    }

    /// Length of plain wall from an end inward, and what comes there. `None`: it is plain all through, or not at all.
    fn until_change<'r>(
        &self,
        rings: impl Iterator<Item = &'r Segment>,
        side: Side,
        [outer, inner]: [usize; 2],
    ) -> Option<(Form, &'static str)> {
        let mut rings = rings.peekable();
        let first = side(rings.peek()?).diameter[outer].clone();
        let mut long = Form::zero();
        for ring in rings {
            let [near, far] = [outer, inner].map(|end| self.nominal(&side(ring).diameter[end]));
            let own = self.nominal(&first);
            if near == own && far == own {
                long = long.plus(&ring.length);
                continue;
            }
            let grows = near.max(far) > own;
            let bore = std::ptr::eq(side(ring), &ring.bore);
            let feature = match (bore, grows) {
                (true, false) => "to-shelf",
                (false, true) => "to-collar",
                _ => "to-groove",
            };
            return (self.nominal(&long) > 0).then_some((long, feature));
        }
        None
    }

    /// How far it is from each face to the axis of the nearest pinch bolt.
    fn bolts(&self) -> Option<EndMark> {
        let heights: Vec<&Form> = self.shape.features.pinches.iter().map(|p| &p.height).collect();
        let lowest = heights.iter().min_by_key(|h| self.nominal(h))?;
        let highest = heights.iter().max_by_key(|h| self.nominal(h))?;
        self.longer(lowest, &self.shape.height.minus(highest), "to-bolt")
    }

    fn longer(&self, low: &Form, high: &Form, feature: &'static str) -> Option<EndMark> {
        let at_top = self.nominal(high) > self.nominal(low);
        let (long, short) = if at_top { (high, low) } else { (low, high) };
        let more = self.least(&long.minus(short));
        let reads = Some((self.nominal(long), self.nominal(short)));
        (more >= READ).then_some(EndMark { feature, at_top, reads, plain: more >= SEEN })
    }

    /// The two faces differ by what a caliper reads.
    fn reads(&self, low: Rim, high: Rim, feature: &'static str) -> Option<EndMark> {
        let both = self.longer(low.diameter, high.diameter, feature)?;
        Some(EndMark { plain: false, ..both })
    }
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Chamfered {
    /// And the other end is not.
    Alone,
    /// Both are, this one clearly more.
    More,
    Not,
}

type Side = fn(&Segment) -> &Wall;

fn outside(segment: &Segment) -> &Wall {
    &segment.outside
}

fn bore(segment: &Segment) -> &Wall {
    &segment.bore
}

fn plain(feature: &'static str, at_top: bool) -> EndMark {
    EndMark { feature, at_top, reads: None, plain: true }
}
