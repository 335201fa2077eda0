//! Head and key sizes of socket screws. Data only: must not know where a key has to reach.

use super::{Length, Thread};

#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum HeadForm {
    /// ISO 4762, cylindrical head with a hexagon socket.
    Cylinder,
    /// ISO 7380-1, button head with a hexagon socket.
    Button,
}

/// Greatest head sizes (plain, not knurled), the key across flats and the least depth of the socket.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct SocketHead {
    pub diameter: Length,
    pub height: Length,
    pub key: Length,
    pub socket_depth: Length,
}

/// Nominal size in mm; diameter, height, key and socket depth in hundredths of a millimetre. Secondary tables,
/// named row by row in `tests/data/socket_screws.csv`.
type Row = (i64, [i64; 4]);

const CYLINDER: [Row; 5] = [
    (4, [700, 400, 300, 200]),
    (5, [850, 500, 400, 250]),
    (6, [1_000, 600, 500, 300]),
    (8, [1_300, 800, 600, 400]),
    (10, [1_600, 1_000, 800, 500]),
];

const BUTTON: [Row; 5] = [
    (4, [760, 220, 250, 130]),
    (5, [950, 275, 300, 156]),
    (6, [1_050, 330, 400, 208]),
    (8, [1_400, 440, 500, 260]),
    (10, [1_750, 550, 600, 312]),
];

impl SocketHead {
    /// By nominal diameter, coarse and fine pitch alike; `None` for threads that have no such screw here.
    pub fn of(form: HeadForm, thread: Thread) -> Option<SocketHead> {
        let rows = match form {
            HeadForm::Cylinder => &CYLINDER,
            HeadForm::Button => &BUTTON,
        };
        let (_, sizes) = rows.iter().find(|(d, _)| Length::mm(*d) == thread.major())?;
        let [diameter, height, key, socket_depth] = sizes.map(|hundredths| Length::um(hundredths * 10));
        Some(SocketHead { diameter, height, key, socket_depth })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_fine_thread_has_the_head_of_the_coarse_one_and_a_steerer_thread_has_none() {
        let head = |name| SocketHead::of(HeadForm::Cylinder, Thread::read(name).expect("a thread"));
        assert_eq!(head("M8x1"), head("M8"));
        assert_eq!(head("M8").map(|h| h.key), Some(Length::mm(6)));
        assert_eq!(head("1-1/8 in x 26 tpi"), None);
    }
}
