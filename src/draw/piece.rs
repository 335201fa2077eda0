//! What of a part is drawn: clipped at break lines, perhaps shown away from its place. Nothing is squeezed.
//! Must not know lines or paper.

use super::hatch::Hatch;
use super::solid::{Column, Solid};

/// How much of the stack a drawing shows.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Window {
    pub low: f64,
    pub high: f64,
    pub widest: f64,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Look {
    /// Wide outlines, hatched.
    Full,
    /// Narrow outlines only: it is there already.
    Faint,
    /// Bold outlines, hatched: it goes on now.
    Now,
}

#[derive(Clone, Debug, PartialEq)]
pub(super) struct Piece {
    /// Clipped, at the height where it is shown.
    pub solid: Solid,
    /// Shown this much above its real place.
    pub lift: f64,
    /// Shown this much to the right of the axis it belongs to; the figure is moved there as a whole.
    pub aside: f64,
    /// Where it was broken off, as shown.
    pub broken: Breaks,
    pub look: Look,
    pub hatch: Hatch,
    /// Heights of pinch bolts, as shown, that nobody turns now.
    pub idle: Vec<f64>,
}

#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub(super) struct Breaks {
    pub bottom: Option<f64>,
    pub top: Option<f64>,
    pub side: Option<f64>,
}

impl Breaks {
    pub fn level(&self, height: f64) -> bool {
        let at = |end: Option<f64>| end.is_some_and(|h| (h - height).abs() < 1e-4);
        at(self.bottom) || at(self.top)
    }

    pub fn edge(&self, radius: f64) -> bool {
        self.side.is_some_and(|r| (r - radius.abs()).abs() < 1e-4)
    }

    /// For `data-broken`: which ends of this column are not its own.
    pub fn words(&self, column: &Column) -> String {
        let ends = (column.rings.first(), column.rings.last());
        let meets = |height: Option<f64>, own: Option<f64>| {
            height.zip(own).is_some_and(|(a, b)| (a - b).abs() < 1e-4)
        };
        let mut words = Vec::new();
        if meets(self.top, ends.1.map(|r| r.top)) {
            words.push("top");
        }
        if meets(self.bottom, ends.0.map(|r| r.bottom)) {
            words.push("bottom");
        }
        if column.rings.iter().any(|r| self.edge(r.widest())) {
            words.push("side");
        }
        words.join(" ")
    }
}

/// The part inside the window, shown `lift` higher; `None` where nothing of it is inside.
pub(super) fn piece(solid: &Solid, window: Window, lift: f64, look: Look, hatch: Hatch) -> Option<Piece> {
    let mut shown = solid.clone();
    let mut broken = Breaks::default();
    for column in &mut shown.columns {
        let kept = column.rings.iter().filter_map(|r| r.cut(window.low, window.high));
        column.rings = kept.filter(|r| r.narrowest() < window.widest).collect();
        for ring in column.rings.iter_mut().filter(|r| r.widest() > window.widest + 1e-6) {
            ring.outside = ring.outside.map(|r| r.min(window.widest));
            broken.side = Some(window.widest);
        }
    }
    shown.columns.retain(|c| !c.rings.is_empty());
    if shown.columns.is_empty() {
        return None;
    }
    if shown.bottom < window.low - 1e-6 {
        shown.bottom = window.low;
        broken.bottom = Some(window.low + lift);
    }
    if shown.top > window.high + 1e-6 {
        shown.top = window.high;
        broken.top = Some(window.high + lift);
    }
    shown.pinches.retain(|&p| window.low < p && p < window.high);
    for slit in &mut shown.slits {
        (slit.bottom, slit.top) = (slit.bottom.max(window.low), slit.top.min(window.high));
    }
    shown.slits.retain(|s| s.top > s.bottom);
    Some(Piece { solid: shown.lifted(lift), lift, aside: 0.0, broken, look, hatch, idle: Vec::new() })
}

/// Free ends longer than this are broken off.
const LONG_END: f64 = 40.0;
/// What is left of a broken end beyond the last thing that matters.
const STUB: f64 = 16.0;

/// The window of a whole stack: free ends of the fork below, bars above and a wide crossbar are cut short.
pub(super) fn window(solids: &[Solid]) -> Window {
    let far = (f64::MAX, f64::MIN);
    let bottoms = || solids.iter().map(|s| s.bottom);
    let tops = || solids.iter().map(|s| s.top);
    let (low, high) = (bottoms().fold(far.0, f64::min), tops().fold(far.1, f64::max));
    // Everything that happens: own ends of all parts but the two outermost ends.
    let matters = solids.iter().flat_map(|s| {
        let inner = s.pinches.iter().copied().chain([s.bottom, s.top]);
        inner.filter(|&h| h > low && h < high).collect::<Vec<_>>()
    });
    let (first, last) = matters.fold(far, |(l, h), m| (l.min(m), h.max(m)));
    let low = if first < far.0 && first - low > LONG_END { first - STUB } else { low };
    let high = if last > far.1 && high - last > LONG_END { last + STUB } else { high };
    Window { low, high, widest: widest(solids, low, high) }
}

/// Cut sideways where one ring is more than twice as wide as everything else.
fn widest(solids: &[Solid], low: f64, high: f64) -> f64 {
    let rings = solids.iter().flat_map(Solid::rings).filter_map(|r| r.cut(low, high));
    let mut radii: Vec<f64> = rings.map(|r| r.widest()).collect();
    radii.sort_by(f64::total_cmp);
    let most = radii.last().copied().unwrap_or(0.0);
    let step = radii.windows(2).find(|w| w[0] > 5.0 && w[1] > 2.0 * w[0] && w[1] > 60.0);
    step.map_or(most, |w| 1.5 * w[0])
}
