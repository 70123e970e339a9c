//! The thread of the long work beside the screens. It gives way to the thread that draws: on two cores a search would
//! else take half of what a key waits for.

use std::sync::LazyLock;
use std::sync::mpsc::{Sender, channel};

use rayon::ThreadPoolBuilder;

/// How nice such a thread is, on the scale of POSIX `nice`: 0 as any other, 19 the most.
#[cfg(target_os = "linux")]
const NICE: i32 = 10;

type Work = Box<dyn FnOnce() + Send>;

/// Does `work` once what was begun before it has ended; what it does in parallel is done on threads that give way too.
///
/// One thread for all of it: an allocator keeps the memory that a thread has freed for that thread.
pub(super) fn run_later(work: impl FnOnce() + Send + 'static) {
    static QUEUE: LazyLock<Sender<Work>> = LazyLock::new(|| {
        let (queue, works) = channel::<Work>();
        std::thread::spawn(move || {
            give_way();
            let _pool = ThreadPoolBuilder::new().use_current_thread().start_handler(|_| give_way()).build();
            for work in works {
                work();
            }
        });
        queue
    });
    // Where an earlier work broke the thread, this one is dropped, and whoever waits for it is told so.
    let _ = QUEUE.send(Box::new(work));
}

/// Only Linux has a priority for each thread; elsewhere, and where it is refused, the thread stays as any other.
fn give_way() {
    #[cfg(target_os = "linux")]
    let _ = rustix::process::setpriority_process(Some(rustix::thread::gettid()), NICE);
}
