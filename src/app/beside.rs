//! Threads for the long work beside the screens. They give way to the thread that draws: on two cores a search would
//! else take half of what a key waits for.

use std::sync::LazyLock;

use rayon::{ThreadPool, ThreadPoolBuilder};

/// How nice such a thread is, on the scale of POSIX `nice`: 0 as any other, 19 the most.
#[cfg(target_os = "linux")]
const NICE: i32 = 10;

/// Begins `work` on a thread of its own; what it does in parallel is done on threads that give way too.
pub(super) fn beside(work: impl FnOnce() + Send + 'static) {
    static POOL: LazyLock<Option<ThreadPool>> =
        LazyLock::new(|| ThreadPoolBuilder::new().start_handler(|_| give_way()).build().ok());
    std::thread::spawn(move || {
        give_way();
        match &*POOL {
            Some(pool) => pool.install(work),
            None => work(),
        }
    });
}

/// Only Linux has a priority for each thread; elsewhere, and where it is refused, the thread stays as any other.
fn give_way() {
    #[cfg(target_os = "linux")]
    let _ = rustix::process::setpriority_process(Some(rustix::thread::gettid()), NICE);
}
