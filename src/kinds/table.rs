//! What a kind of part is: its fields, surfaces, columns and marks, and how its short form becomes metal.
//! Must not know any particular part.

use super::draft::Draft;
use crate::base::suggest;
use crate::quantity::Nature;

/// What a field holds.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum FieldType {
    Dimension(Nature),
    /// Several dimensions of one name, numbered from 1: pinch bolt heights.
    Dimensions(Nature),
    /// Half angle against the axis, degrees.
    Angle,
    Thread,
    Torque,
    /// A plain length: the size of a key or spanner.
    KeySize,
    Flag,
    Text,
    Choice(&'static [&'static str]),
    /// Raw columns of rings.
    Columns,
}

impl FieldType {
    /// The kind of surface that a toleranced size is of.
    pub fn nature(self) -> Option<Nature> {
        match self {
            FieldType::Dimension(nature) | FieldType::Dimensions(nature) => Some(nature),
            _ => None,
        }
    }
}

/// When a field must be there.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Need {
    Required,
    Optional,
    /// All fields of this group or none.
    Together(&'static str),
    /// Required while that field is absent; all fields of this group or none.
    Unless(&'static str, &'static str),
    /// Required where that field has this value, and without meaning elsewhere.
    When(&'static str, &'static str),
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Field {
    pub name: &'static str,
    pub what: FieldType,
    pub need: Need,
    /// One line for the reference page.
    pub about: &'static str,
}

impl Field {
    pub(super) const fn new(name: &'static str, what: FieldType, about: &'static str) -> Field {
        Field { name, what, need: Need::Required, about }
    }

    pub(super) const fn optional(mut self) -> Field {
        self.need = Need::Optional;
        self
    }

    pub(super) const fn with(mut self, group: &'static str) -> Field {
        self.need = Need::Together(group);
        self
    }

    pub(super) const fn unless(mut self, other: &'static str, group: &'static str) -> Field {
        self.need = Need::Unless(other, group);
        self
    }

    pub(super) const fn when(mut self, field: &'static str, value: &'static str) -> Field {
        self.need = Need::When(field, value);
        self
    }
}

pub(super) const fn bore(name: &'static str, about: &'static str) -> Field {
    Field::new(name, FieldType::Dimension(Nature::Bore), about)
}

pub(super) const fn outside(name: &'static str, about: &'static str) -> Field {
    Field::new(name, FieldType::Dimension(Nature::Outside), about)
}

pub(super) const fn height(name: &'static str, about: &'static str) -> Field {
    Field::new(name, FieldType::Dimension(Nature::Height), about)
}

pub(super) const fn depth(name: &'static str, about: &'static str) -> Field {
    Field::new(name, FieldType::Dimension(Nature::Depth), about)
}

pub(super) const fn cast(name: &'static str, about: &'static str) -> Field {
    Field::new(name, FieldType::Dimension(Nature::Cast), about)
}

pub(super) const fn angle(name: &'static str, about: &'static str) -> Field {
    Field::new(name, FieldType::Angle, about)
}

pub(super) const fn thread(name: &'static str, about: &'static str) -> Field {
    Field::new(name, FieldType::Thread, about)
}

pub(super) const fn torque(name: &'static str, about: &'static str) -> Field {
    Field::new(name, FieldType::Torque, about).optional()
}

pub(super) const fn key_size(name: &'static str, about: &'static str) -> Field {
    Field::new(name, FieldType::KeySize, about)
}

/// The pattern of a knurled rim, for the drawing: what is measured is over its crests.
pub(super) const fn knurl(about: &'static str) -> Field {
    Field::new("knurl", FieldType::Choice(&["straight", "diamond"]), about).optional()
}

/// What a surface can meet.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Role {
    Bore,
    Outside,
    MaleThread,
    FemaleThread,
}

impl Role {
    pub fn is_bore(self) -> bool {
        matches!(self, Role::Bore | Role::FemaleThread)
    }

    pub fn word(self) -> &'static str {
        match self {
            Role::Bore => "a bore",
            Role::Outside => "an outside",
            Role::MaleThread => "a male thread",
            Role::FemaleThread => "a female thread",
        }
    }
}

/// What the program itself knows of a kind beside its metal: no other place tells one kind from another by name.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Known {
    /// A fork: pairings are asked for it, and it has pages of its own.
    Fork,
    /// What the scooter is built round; its dimension [`HEAD_TUBE`] is the head tube.
    Deck,
    /// The bars of a set-up.
    Bars,
    /// It is closed by pinch bolts; a rider may have one.
    Clamp,
    /// A sleeve over the steerer; a rider may have one.
    Shim,
    /// It fills height: several may stand in one place, in any mix.
    Filler,
    /// Never drawn cut lengthwise: a fastener, by ISO 128-3.
    Whole,
    /// It has balls between its two rings.
    Balls,
    /// It wedges onto the steerer where it is pressed down: drawings magnify its seat.
    Wedge,
    /// Too long, or too plainly of one way, to be put on the other way up.
    OneWay,
    /// Its head tells its way up: it bears no triangle.
    Headed,
}

/// Of a deck: the length of its head tube.
pub const HEAD_TUBE: &str = "head_tube_length";

/// A size, the least and the most that is usual of it, in tenths of a millimetre. Common practice, no source.
pub(super) type Row = (&'static str, i64, i64);

/// One kind of part.
#[derive(Clone, Copy)]
pub struct Kind {
    pub name: &'static str,
    /// One line on what it is.
    pub about: &'static str,
    pub fields: &'static [Field],
    pub surfaces: &'static [(&'static str, Role)],
    pub columns: &'static [&'static str],
    /// Features by which a person tells its ends apart.
    pub marks: &'static [&'static str],
    /// What is usual of each of its sizes: wide, for what lies outside is asked about.
    pub(super) usual: &'static [Row],
    /// What the program has to know of it.
    pub is: &'static [Known],
    /// What a rule file has to say of it.
    pub asked: &'static super::Asked,
    pub(super) build: fn(&mut Draft),
}

impl Kind {
    pub fn is(&self, known: Known) -> bool {
        self.is.contains(&known)
    }

    pub fn field(&self, name: &str) -> Option<&'static Field> {
        self.fields.iter().find(|f| f.name == name)
    }

    pub fn role(&self, surface: &str) -> Option<Role> {
        self.surfaces.iter().find(|(name, _)| *name == surface).map(|(_, role)| *role)
    }
}

static ALL: [Kind; 21] = [
    super::fork::FORK,
    super::headset::DECK,
    super::headset::CROWN_RACE,
    super::headset::BEARING,
    super::headset::COMPRESSION_RING,
    super::top_cap::TOP_CAP,
    super::tube::SPACER,
    super::tube::RISER,
    super::tube::SHIM,
    super::tube::LINER,
    super::clamp::CLAMP,
    super::clamp::CAP,
    super::bolt::BOLT,
    super::bolt::STAR_NUT,
    super::bars::BARS,
    super::tube::BAR_SLEEVE,
    super::bars::QUILL,
    super::threaded::THREADED_RACE,
    super::tube::WASHER,
    super::threaded::LOCKNUT,
    super::custom::CUSTOM,
];

/// Every kind, in the order of a bench from the fork upward.
pub fn all() -> &'static [Kind] {
    &ALL
}

pub fn find(name: &str) -> Option<&'static Kind> {
    ALL.iter().find(|k| k.name == name)
}

/// Whether the kind of this name is known as that.
pub fn is(name: &str, known: Known) -> bool {
    find(name).is_some_and(|kind| kind.is(known))
}

/// The kinds known as that, in the order of the table.
pub fn known_as(known: Known) -> Vec<&'static str> {
    ALL.iter().filter(|kind| kind.is(known)).map(|kind| kind.name).collect()
}

/// The kind most likely meant by a misspelt name.
pub fn suggest_kind(name: &str) -> Option<&'static str> {
    suggest(name, ALL.iter().map(|k| k.name))
}

/// The one spelling of a surface that some kind has.
pub fn surface(name: &str) -> Option<&'static str> {
    ALL.iter().flat_map(|k| k.surfaces).map(|(surface, _)| *surface).find(|s| *s == name)
}

/// The one spelling of a column that some kind has.
pub fn column(name: &str) -> Option<&'static str> {
    ALL.iter().flat_map(|k| k.columns).copied().find(|c| *c == name)
}
