//! A shape while its kind's builder lays it up from bottom to top; possible or refused at the end.
//! Must not know any kind.

use super::possible::{self, Impossible};
use super::{
    Column, Cone, Cut, Drive, Fields, Knurl, Knurled, NamedDim, Segment, Shape, Taper, ThreadOn, Wall,
    WayMark,
};
use crate::quantity::{Angle, Form, Length, ONE, Thread};

/// The surface name of a wall that is not there: the bore of a solid.
pub const NO_SURFACE: &str = "";

pub struct Draft<'f> {
    pub(super) fields: &'f Fields,
    pub(super) shape: Shape,
    pub(super) impossible: Vec<Impossible>,
}

impl<'f> Draft<'f> {
    pub(super) fn new(fields: &'f Fields) -> Draft<'f> {
        let shape = Shape { dims: fields.dims.clone(), ..Shape::default() };
        Draft { fields, shape, impossible: vec![] }
    }

    pub(super) fn finish(mut self) -> Result<Shape, Vec<Impossible>> {
        self.impossible.extend(possible::check(&self.shape));
        if self.impossible.is_empty() { Ok(self.shape) } else { Err(self.impossible) }
    }

    /// A dimension that the kind's table requires.
    pub(super) fn dim(&self, name: &str) -> Form {
        let form = self.maybe(name);
        debug_assert!(form.is_some(), "{} has no dimension {name}", self.fields.kind_name);
        form.unwrap_or_default()
    }

    pub(super) fn maybe(&self, name: &str) -> Option<Form> {
        self.fields.numbers(name).first().map(|&n| Form::dimension(n))
    }

    /// One more dimension that the author did not write under this name.
    pub(super) fn add_dim(&mut self, dim: NamedDim) -> Form {
        self.shape.dims.push(dim);
        Form::dimension((self.shape.dims.len() - 1) as u32)
    }

    /// The same measure on another place of the part: as wide, but another feature, so it never cancels.
    pub(super) fn twin(&mut self, name: &str, twin: &str) -> Form {
        let dim = self.fields.numbers(name).first().and_then(|&n| self.shape.dims.get(n as usize)).cloned();
        match dim {
            Some(dim) => self.add_dim(NamedDim { name: twin.to_string(), ..dim }),
            None => self.dim(name),
        }
    }

    /// Nominals of two dimensions are the same: the author means one place.
    pub(super) fn same_nominal(&self, one: &Form, other: &Form) -> bool {
        let ends = possible::ends(&self.shape.dims);
        one.nominal(&ends) == other.nominal(&ends)
    }

    /// `form` must never be under zero; `what` says what that is.
    pub(super) fn room(&mut self, form: &Form, what: &str) {
        if let Some(impossible) = possible::under(form, 0, &self.shape.dims, what) {
            self.impossible.push(impossible);
        }
    }

    /// The half angle of a real cone: over 0 and under 90 degrees, else the shape is refused.
    pub(super) fn slope(&mut self, name: &str) -> Option<Angle> {
        let angle = self.fields.angle(name)?;
        if angle.tan2_micro().is_none() {
            let fact = format!("{angle} is no half angle of a cone");
            let impossible = Impossible::new(fact, "a half angle is over 0 and under 90 degrees", "write 45");
            self.impossible.push(impossible.at(self.fields.span(name), ""));
            return None;
        }
        Some(angle)
    }

    /// How much the diameter changes over `length` at this half angle: `2 tan(angle) length`.
    pub(super) fn widening(&self, angle: Angle, length: &Form) -> Form {
        let (low, high) = angle.tan2_micro().unwrap_or((ONE, ONE));
        self.scaled(length, low, high)
    }

    /// The height of a cone between two diameters: `difference / (2 tan(angle))`.
    pub(super) fn cone_height(&self, angle: Angle, difference: &Form) -> Form {
        let (low, high) = angle.tan2_micro().unwrap_or((ONE, ONE));
        let one = i128::from(ONE) * i128::from(ONE);
        let floor = one.div_euclid(i128::from(high.max(1)));
        let ceiling = -(-one).div_euclid(i128::from(low.max(1)));
        self.scaled(difference, clamped(floor), clamped(ceiling))
    }

    /// `form` times a number of millionths that lies between `low` and `high`; what is unsure goes outward.
    fn scaled(&self, form: &Form, low: i64, high: i64) -> Form {
        let ends = possible::ends(&self.shape.dims);
        let largest = i128::from(form.most(&ends).abs().max(form.least(&ends).abs()));
        let rest = -(-largest * i128::from(high - low)).div_euclid(i128::from(ONE));
        form.times(low).with_slack(clamped(rest))
    }

    /// One column; its top is returned.
    pub(super) fn column(&mut self, name: &'static str, start: Form, segments: Vec<Segment>) -> Form {
        let top = segments.iter().fold(start.clone(), |top, s| top.plus(&s.length));
        self.shape.columns.push(Column { name, start, segments });
        top
    }

    pub(super) fn cut(&mut self, column: &'static str, width: Option<Form>, from: Form, to: Form) {
        if let Some(width) = width {
            self.shape.features.cuts.push(Cut { column, width, from, to });
        }
    }

    pub(super) fn mark(&mut self, feature: &'static str, at_top: bool) {
        self.shape.features.marks.push(WayMark { feature, at_top });
    }

    /// This wall is knurled, if the fields say so.
    pub(super) fn knurl(&mut self, surface: &'static str) {
        let pattern = self.fields.text("knurl").and_then(Knurl::read);
        self.shape.features.knurled = pattern.map(|pattern| Knurled { surface, pattern });
    }

    pub(super) fn threaded(&mut self, surface: &'static str, thread: Thread, male: bool) {
        self.shape.features.threads.push(ThreadOn { surface, thread, male });
    }

    /// Turned by a tool, if the fields give its size.
    pub(super) fn drive(&mut self, tool: &'static str, size: &str, torque: &str) {
        if let Some(size) = self.fields.key_size(size) {
            self.driven(tool, size, torque);
        }
    }

    pub(super) fn driven(&mut self, tool: &'static str, size: Length, torque: &str) {
        let (torque, torque_written) = match self.fields.torque(torque) {
            Some((torque, written)) => (Some(torque), Some(written)),
            None => (None, None),
        };
        self.shape.features.drive = Some(Drive { tool, size, torque, torque_written });
    }
}

fn clamped(value: i128) -> i64 {
    i64::try_from(value).unwrap_or(i64::MAX)
}

pub(super) fn ring(length: &Form, bore: Wall, outside: Wall) -> Segment {
    Segment { length: length.clone(), bore, outside }
}

/// A cylinder.
pub(super) fn wall(surface: &'static str, diameter: &Form) -> Wall {
    Wall { surface, diameter: [diameter.clone(), diameter.clone()], taper: None, root: None }
}

/// The bore of solid metal.
pub(super) fn solid() -> Wall {
    wall(NO_SURFACE, &Form::zero())
}

pub(super) fn cone(surface: &'static str, diameter: [Form; 2], angle: Angle, cone: Cone) -> Wall {
    let taper = Some(Taper { half_angle: angle.as_millidegrees(), cone });
    Wall { surface, diameter, taper, root: None }
}

/// A male thread: major diameter outside, root diameter for its mate.
pub(super) fn male(surface: &'static str, thread: Thread) -> Wall {
    let mut wall = wall(surface, &Form::constant(thread.major()));
    wall.root = Some(Form::constant(thread.root()));
    wall
}

/// A female thread: its bore is the minor diameter.
pub(super) fn female(surface: &'static str, thread: Thread) -> Wall {
    wall(surface, &Form::constant(thread.minor()))
}
