//! Who is connected to the preview, and who has to go where too many are. Knows no requests.

use std::io;
use std::net::{Shutdown, TcpStream};
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};

/// A browser opens six at a time, some of them only to have them ready.
const MOST_AT_ONCE: usize = 32;
/// Pages that are open and seen; they take no seat of those who ask.
const MOST_LISTENING: usize = 16;

/// The connections there are.
#[derive(Clone, Default)]
pub struct Guests(Arc<Mutex<Seats>>);

#[derive(Default)]
struct Seats {
    /// The oldest first.
    all: Vec<Seat>,
    /// Of the next one; none is ever given twice.
    number: u64,
}

struct Seat {
    number: u64,
    does: Does,
}

/// With the connection where it may be closed from outside.
enum Does {
    SaysNothing(Option<TcpStream>),
    IsAnswered,
    Listens(TcpStream),
}

/// One connection being served; its seat is free again when dropped.
pub struct Guest {
    guests: Guests,
    number: u64,
}

impl Guests {
    fn seats(&self) -> MutexGuard<'_, Seats> {
        self.0.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// With all seats taken the connection that has said nothing for longest has to go; nothing where all are being
    /// answered.
    pub fn admit(&self, stream: &TcpStream) -> Option<Guest> {
        let mut seats = self.seats();
        let asking = seats.all.iter().filter(|seat| !matches!(seat.does, Does::Listens(_))).count();
        if asking >= MOST_AT_ONCE {
            let at = seats.all.iter().position(|seat| matches!(seat.does, Does::SaysNothing(Some(_))))?;
            seats.all.remove(at).close();
        }
        let number = seats.number;
        seats.number += 1;
        seats.all.push(Seat { number, does: Does::SaysNothing(stream.try_clone().ok()) });
        Some(Guest { guests: self.clone(), number })
    }
}

impl Seat {
    fn close(self) {
        if let Does::SaysNothing(Some(stream)) | Does::Listens(stream) = self.does {
            let _ = stream.shutdown(Shutdown::Both);
        }
    }
}

impl Guest {
    pub fn has_asked(&self) {
        self.does(Does::IsAnswered);
    }

    /// For as long as it likes: with too many of them the oldest has to go, and comes again where it is still seen.
    pub fn listens(&self, stream: &TcpStream) -> io::Result<()> {
        let stream = stream.try_clone()?;
        let mut seats = self.guests.seats();
        let listens = |seat: &&Seat| matches!(seat.does, Does::Listens(_));
        if seats.all.iter().filter(listens).count() >= MOST_LISTENING
            && let Some(oldest) = seats.all.iter().position(|seat| listens(&seat))
        {
            seats.all.remove(oldest).close();
        }
        drop(seats);
        self.does(Does::Listens(stream));
        Ok(())
    }

    fn does(&self, does: Does) {
        if let Some(seat) = self.guests.seats().all.iter_mut().find(|seat| seat.number == self.number) {
            seat.does = does;
        }
    }
}

impl Drop for Guest {
    fn drop(&mut self) {
        self.guests.seats().all.retain(|seat| seat.number != self.number);
    }
}
