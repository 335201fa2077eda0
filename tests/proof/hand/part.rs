//! One real part in the hand: every size one number, rings of metal as plain figures in nanometres, the way up it goes on.
//! Must not know what it goes on to, nor anything of how the engine places a part.

use benchleaf::kinds::{self, Cone, Features, Shape};
use benchleaf::quantity::{Form, Thread};

/// A wall of a ring: its diameter at the ring's foot and at its top.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Wall {
    pub surface: &'static str,
    pub at: [f64; 2],
    /// Half angle where it is a cone, thousandths of a degree.
    pub half_angle: Option<i64>,
    pub thread: Option<Thread>,
    /// What a male thread shows its own mate.
    pub root: Option<f64>,
}

/// A ring of metal; heights from the part's own foot until it is placed.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Ring {
    pub column: &'static str,
    pub foot: f64,
    pub top: f64,
    pub bore: Wall,
    pub outside: Wall,
}

/// A lengthwise cut.
#[derive(Clone, Copy, Debug)]
pub struct Slit {
    pub from: f64,
    pub to: f64,
    pub width: f64,
}

#[derive(Clone)]
pub struct Part<'s> {
    pub shape: &'s Shape,
    pub rings: Vec<Ring>,
    pub slits: Vec<Slit>,
    pub pinches: Vec<f64>,
    pub height: f64,
    /// Reference plane of a fork above its foot.
    pub datum: f64,
    sizes: Vec<i64>,
}

fn at(form: &Form, sizes: &[i64]) -> f64 {
    form.terms.iter().fold(form.constant as f64, |sum, &(dim, millionths)| {
        sum + sizes[dim as usize] as f64 * (millionths as f64 / 1e6)
    })
}

impl<'s> Part<'s> {
    /// `None`: there is no such part, a wall of it would have no metal.
    pub fn in_hand(shape: &'s Shape, turned: bool, sizes: &[i64]) -> Option<Part<'s>> {
        let mut part = Part {
            shape,
            rings: rings(shape, sizes)?,
            slits: vec![],
            pinches: shape.features.pinches.iter().map(|p| at(&p.height, sizes)).collect(),
            height: at(&shape.height, sizes),
            datum: at(&shape.datum, sizes),
            sizes: sizes.to_vec(),
        };
        part.slits = (shape.features.cuts.iter())
            .map(|c| Slit { from: at(&c.from, sizes), to: at(&c.to, sizes), width: at(&c.width, sizes) })
            .collect();
        if turned {
            part.turn_over();
        }
        let metal =
            |r: &Ring| r.top >= r.foot && r.bore.at[0] <= r.outside.at[0] && r.bore.at[1] <= r.outside.at[1];
        part.rings.iter().all(metal).then_some(part)
    }

    fn turn_over(&mut self) {
        let height = self.height;
        for ring in &mut self.rings {
            (ring.foot, ring.top) = (height - ring.top, height - ring.foot);
            ring.bore.at.reverse();
            ring.outside.at.reverse();
        }
        for slit in &mut self.slits {
            (slit.from, slit.to) = (height - slit.to, height - slit.from);
        }
        self.pinches.iter_mut().for_each(|p| *p = height - *p);
    }

    pub fn features(&self) -> &'s Features {
        &self.shape.features
    }

    /// A length that is no part of the half-section.
    pub fn size(&self, form: &Form) -> f64 {
        at(form, &self.sizes)
    }

    pub fn bores<'p>(&'p self, surface: &'p str) -> impl Iterator<Item = &'p Ring> {
        self.rings.iter().filter(move |r| r.bore.surface == surface)
    }

    pub fn outsides<'p>(&'p self, surface: &'p str) -> impl Iterator<Item = &'p Ring> {
        self.rings.iter().filter(move |r| r.outside.surface == surface)
    }

    /// A wall that is pressed on a seat takes the seat's diameter.
    pub fn press(&mut self, surface: &str, seat: f64) {
        for ring in &mut self.rings {
            for wall in [&mut ring.bore, &mut ring.outside] {
                if wall.surface == surface {
                    wall.at = [seat, seat];
                }
            }
        }
    }

    /// A split ring closes until its bore is as wide as what it is on; its wall keeps its thickness.
    pub fn close_to(&mut self, seat: f64) {
        let Some(change) = self.rings.first().map(|r| seat - r.bore.at[0]) else { return };
        for ring in &mut self.rings {
            for wall in [&mut ring.bore, &mut ring.outside] {
                wall.at = wall.at.map(|d| d + change);
            }
        }
    }
}

/// `None`: a cone would open the other way.
fn rings(shape: &Shape, sizes: &[i64]) -> Option<Vec<Ring>> {
    let thread_of =
        |surface: &str| shape.features.threads.iter().find(|t| t.surface == surface).map(|t| t.thread);
    let wall = |w: &kinds::Wall| Wall {
        surface: w.surface,
        at: w.diameter.each_ref().map(|d| at(d, sizes)),
        half_angle: w.taper.map(|t| t.half_angle),
        thread: thread_of(w.surface),
        root: w.root.as_ref().map(|r| at(r, sizes)),
    };
    let mut rings = vec![];
    for column in &shape.columns {
        let mut foot = at(&column.start, sizes);
        for segment in &column.segments {
            let top = foot + at(&segment.length, sizes);
            let (bore, outside) = (wall(&segment.bore), wall(&segment.outside));
            if ![&segment.bore, &segment.outside].iter().all(|w| opens(w, sizes)) {
                return None;
            }
            rings.push(Ring { column: column.name, foot, top, bore, outside });
            foot = top;
        }
    }
    Some(rings)
}

/// A cone opens the way it says, or its part cannot be.
fn opens(wall: &kinds::Wall, sizes: &[i64]) -> bool {
    let [foot, top] = wall.diameter.each_ref().map(|d| at(d, sizes));
    wall.taper.is_none_or(|t| (t.cone == Cone::Wider) == (top > foot) || (top - foot).abs() < 1_000.0)
}

/// The face of a ring at a diameter: its height, and the half angle where it is a cone.
pub struct Face {
    pub height: f64,
    pub half_angle: Option<i64>,
}

impl Ring {
    pub fn least(&self) -> f64 {
        self.bore.at[0].min(self.bore.at[1])
    }

    pub fn most(&self) -> f64 {
        self.outside.at[0].max(self.outside.at[1])
    }

    /// Where this ring's metal ends upward (or downward) at a diameter inside it.
    pub fn face(&self, up: bool, diameter: f64) -> Face {
        let (end, far, near) = if up { (self.top, 0, 1) } else { (self.foot, 1, 0) };
        let mut face = Face { height: end, half_angle: None };
        // A bore that opens toward this end, an outside that gets narrower toward it.
        for (wall, slopes) in [
            (&self.bore, self.bore.at[near] > self.bore.at[far] && diameter < self.bore.at[near]),
            (&self.outside, self.outside.at[near] < self.outside.at[far] && diameter > self.outside.at[near]),
        ] {
            if slopes {
                let share = (diameter - wall.at[0]) / (wall.at[1] - wall.at[0]);
                face =
                    Face { height: self.foot + (self.top - self.foot) * share, half_angle: wall.half_angle };
            }
        }
        face
    }

    /// The flat of this ring at its top (or foot): from which diameter to which.
    pub fn flat(&self, up: bool) -> [f64; 2] {
        let end = usize::from(up);
        [self.bore.at[end], self.outside.at[end]]
    }
}
