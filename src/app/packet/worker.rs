//! One worker of the packet: its answer, how far it is, and the wish to stop.

use std::panic::{AssertUnwindSafe, catch_unwind};
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::mpsc::{Receiver, TryRecvError, channel};
use std::sync::{Arc, Mutex};

/// A worker; dropping it tells it to stop.
pub struct Worker<T, P> {
    answer: Receiver<T>,
    stop: Arc<AtomicBool>,
    progress: Arc<Mutex<Option<P>>>,
}

impl<T, P> Drop for Worker<T, P> {
    fn drop(&mut self) {
        self.stop.store(true, Ordering::Relaxed);
    }
}

/// What the worker holds in its hand.
pub struct Line<P> {
    stop: Arc<AtomicBool>,
    progress: Arc<Mutex<Option<P>>>,
}

impl<P> Line<P> {
    /// Whether somebody still waits.
    pub fn goes_on(&self) -> bool {
        !self.stop.load(Ordering::Relaxed)
    }

    /// Says how far the work is.
    pub fn tell(&self, progress: P) {
        // A poisoned lock means that the window has gone.
        if let Ok(mut shown) = self.progress.lock() {
            *shown = Some(progress);
        }
    }
}

/// What has come of a worker.
pub enum Come<T> {
    /// Nothing yet.
    Nothing,
    /// Its answer.
    Answer(T),
    /// It panicked.
    Failed,
}

impl<T: Send + 'static, P: Copy + Send + 'static> Worker<T, P> {
    /// Puts a worker to it.
    pub fn start(work: impl FnOnce(&Line<P>) -> T + Send + 'static) -> Self {
        let (send, answer) = channel();
        let stop = Arc::new(AtomicBool::new(false));
        let progress = Arc::new(Mutex::new(None));
        let line = Line { stop: Arc::clone(&stop), progress: Arc::clone(&progress) };
        std::thread::spawn(move || {
            // A panic drops the sender, which ends the wait; the window goes on.
            if let Ok(answer) = catch_unwind(AssertUnwindSafe(|| work(&line))) {
                // Where nobody listens any more the answer is not wanted.
                let _ = send.send(answer);
            }
        });
        Self { answer, stop, progress }
    }

    /// Tells it to stop; what comes of it is still taken.
    pub fn stop(&self) {
        self.stop.store(true, Ordering::Relaxed);
    }

    /// Looks whether it has answered.
    pub fn come(&self) -> Come<T> {
        match self.answer.try_recv() {
            Ok(answer) => Come::Answer(answer),
            Err(TryRecvError::Empty) => Come::Nothing,
            Err(TryRecvError::Disconnected) => Come::Failed,
        }
    }

    /// How far it is, once it has said so.
    pub fn progress(&self) -> Option<P> {
        self.progress.lock().ok().and_then(|progress| *progress)
    }
}
