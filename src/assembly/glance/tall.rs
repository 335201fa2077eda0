//! Which end of each dimension makes a part stand low: in a build of low parts what lies above comes lowest.
//!
//! Only a choice of builds to look at: whatever is chosen, each is a real one. Must not know the rest of the pile.

use crate::assembly::piece::{self, Side};
use crate::assembly::report::PlacedColumn;
use crate::quantity::{Ends, Form};

/// For each dimension, whether the part stands lower with more of it: over all faces, those above as they rise at a
/// diameter, less those below. Where that is all one, whether its own lowest metal does.
pub fn lowers(columns: &[PlacedColumn], dims: &[Ends]) -> Vec<bool> {
    let [over, under] = [Side::Top, Side::Bottom].map(|side| rises(columns, side, dims));
    over.iter().zip(&under).map(|(over, under)| over < under || over == under && *under > 0).collect()
}

/// For each dimension, whether the part hangs lower with more of it: its lowest metal below the faces it may rest by. Where
/// those do not tell, as above.
pub fn hangs(columns: &[PlacedColumn], dims: &[Ends]) -> Vec<bool> {
    let [over, under] = [Side::Top, Side::Bottom].map(|side| rises(columns, side, dims));
    over.iter().zip(&under).map(|(over, under)| *under > 0 || *under == 0 && *over < 0).collect()
}

/// For each dimension, whether the part stands taller with more of it.
pub fn stands(columns: &[PlacedColumn], dims: &[Ends]) -> Vec<bool> {
    rises(columns, Side::Top, dims).into_iter().map(|over| over > 0).collect()
}

/// How all faces of that side together rise with each dimension.
fn rises(columns: &[PlacedColumn], side: Side, dims: &[Ends]) -> Vec<i128> {
    let mut raised = vec![0_i128; dims.len()];
    for face in piece::faces(columns, side, dims) {
        add(&mut raised, &face.line());
    }
    raised
}

fn add(raised: &mut [i128], form: &Form) {
    for &(dim, coefficient) in &form.terms {
        if let Some(raised) = raised.get_mut(dim as usize) {
            *raised += i128::from(coefficient);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::assembly::place;
    use crate::kinds::NamedDim;
    use crate::kinds::shape_for_tests::good;

    /// What `of` says of the part's dimension of this name.
    fn says(of: fn(&[PlacedColumn], &[Ends]) -> Vec<bool>, kind: &str, text: &str, name: &str) -> bool {
        let shape = good(kind, text);
        let ends: Vec<Ends> = shape.dims.iter().map(NamedDim::ends).collect();
        let at = shape.dims.iter().position(|d| d.name == name).expect("a dimension");
        of(&place::columns(&shape, 0, false), &ends)[at]
    }

    #[test]
    fn a_longer_spacer_stands_taller() {
        let spacer = "bore = \"28.8\"\noutside = \"36\"\nlength = \"5 ±0.1\"";
        assert!(says(stands, "spacer", spacer, "length"));
        assert!(!says(lowers, "spacer", spacer, "length"));
    }

    #[test]
    fn a_cap_with_a_deeper_spigot_hangs_lower() {
        let cap = "outside = \"36\"\nhole = \"8.5\"\nthickness = \"6\"\nspigot_outside = \"28\"\nspigot_depth = \"10\"";
        assert!(says(hangs, "cap", cap, "spigot_depth"));
        assert!(!says(hangs, "cap", cap, "thickness"));
    }
}
