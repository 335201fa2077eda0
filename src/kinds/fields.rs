//! The fields of one variant, read and put in order: what a builder works from.
//! Knows where each was written; must not know what metal comes of them.

use std::collections::BTreeMap;

use super::custom::WrittenColumn;
use super::{Field, FieldType, Kind, NamedDim};
use crate::base::{Problems, Span};
use crate::quantity::{Angle, Dimension, Length, Nature, Thread, TorqueRange};

/// A field's value with its place.
#[derive(Clone, Debug, PartialEq)]
pub struct Written {
    pub value: WrittenValue,
    /// The value.
    pub span: Span,
}

#[derive(Clone, Debug, PartialEq)]
pub enum WrittenValue {
    Dimension(Dimension),
    Dimensions(Vec<(Dimension, Span)>),
    Angle(Angle),
    Thread(Thread),
    Torque(TorqueRange, String),
    KeySize(Length),
    Flag(bool),
    Text(String),
    Columns(Vec<WrittenColumn>),
    /// It is there but could not be read: reported already.
    Misread,
}

/// Fields by name. Absent fields are absent.
pub type WrittenFields = BTreeMap<&'static str, Written>;

/// All fields of a variant with its dimensions numbered in the order of the kind's table.
#[derive(Clone, Debug, PartialEq)]
pub struct Fields {
    pub kind_name: &'static str,
    pub(super) dims: Vec<NamedDim>,
    values: WrittenFields,
    numbers: BTreeMap<&'static str, Vec<u32>>,
}

impl Fields {
    /// `None` when a field could not be read.
    pub fn assemble(kind: &'static Kind, values: WrittenFields) -> Option<Fields> {
        if values.values().any(|w| matches!(w.value, WrittenValue::Misread)) {
            return None;
        }
        let mut fields =
            Fields { kind_name: kind.name, dims: vec![], values: BTreeMap::new(), numbers: BTreeMap::new() };
        for field in kind.fields {
            if let Some(written) = values.get(field.name) {
                fields.number(field, written);
            }
        }
        fields.values = values;
        Some(fields)
    }

    fn number(&mut self, field: &Field, written: &Written) {
        let mut add = |name: String, nature: Nature, dimension: &Dimension, span: Span| {
            self.dims.push(NamedDim { name, nature, dimension: dimension.clone(), span: Some(span) });
            (self.dims.len() - 1) as u32
        };
        let numbers = match (&written.value, field.what) {
            (WrittenValue::Dimension(dimension), FieldType::Dimension(nature)) => {
                vec![add(field.name.to_string(), nature, dimension, written.span)]
            }
            (WrittenValue::Dimensions(several), FieldType::Dimensions(nature)) => {
                let stem = field.name.split('_').next().unwrap_or(field.name);
                let numbered = several.iter().enumerate();
                numbered.map(|(i, (d, span))| add(format!("{stem}-{}", i + 1), nature, d, *span)).collect()
            }
            _ => vec![],
        };
        self.numbers.insert(field.name, numbers);
    }

    /// The same with these sizes in place of its own, or besides them. `None` when the kind has no such fields, or not
    /// all that belong together would be there.
    pub(super) fn with(
        &self,
        kind: &'static Kind,
        sizes: &[(&'static str, Dimension)],
        at: Span,
    ) -> Option<Fields> {
        let mut values = self.values.clone();
        for (name, dimension) in sizes {
            kind.field(name).filter(|f| matches!(f.what, FieldType::Dimension(_)))?;
            values.insert(name, Written { value: WrittenValue::Dimension(dimension.clone()), span: at });
        }
        let whole = super::complete(kind, &values, kind.name, at, &mut Problems::default());
        if whole { Fields::assemble(kind, values) } else { None }
    }

    pub fn has(&self, name: &str) -> bool {
        self.values.contains_key(name)
    }

    pub(super) fn numbers(&self, name: &str) -> &[u32] {
        self.numbers.get(name).map_or(&[], Vec::as_slice)
    }

    pub(super) fn span(&self, name: &str) -> Option<Span> {
        self.values.get(name).map(|w| w.span)
    }

    pub(super) fn angle(&self, name: &str) -> Option<Angle> {
        match self.values.get(name)?.value {
            WrittenValue::Angle(angle) => Some(angle),
            _ => None,
        }
    }

    pub(super) fn thread(&self, name: &str) -> Option<Thread> {
        match self.values.get(name)?.value {
            WrittenValue::Thread(thread) => Some(thread),
            _ => None,
        }
    }

    pub(super) fn torque(&self, name: &str) -> Option<(TorqueRange, String)> {
        match &self.values.get(name)?.value {
            WrittenValue::Torque(torque, written) => Some((*torque, written.clone())),
            _ => None,
        }
    }

    pub(super) fn key_size(&self, name: &str) -> Option<Length> {
        match self.values.get(name)?.value {
            WrittenValue::KeySize(size) => Some(size),
            _ => None,
        }
    }

    pub(super) fn flag(&self, name: &str) -> bool {
        matches!(self.values.get(name).map(|w| &w.value), Some(WrittenValue::Flag(true)))
    }

    pub fn text(&self, name: &str) -> Option<&str> {
        match &self.values.get(name)?.value {
            WrittenValue::Text(text) => Some(text),
            _ => None,
        }
    }

    pub(super) fn columns(&self, name: &str) -> &[WrittenColumn] {
        match self.values.get(name).map(|w| &w.value) {
            Some(WrittenValue::Columns(columns)) => columns,
            _ => &[],
        }
    }
}
