//! A step's key: text that stays the same as long as the facts it comes from.

use std::borrow::Borrow;
use std::fmt;
use std::sync::Arc;

use uuid::Uuid;

use crate::domain::Phase;

/// `owner kind:owner id/recipe step/phase`, as `placement:0198…/stake.drive/up`. Copies share the text: plans, edges and
/// progress hold tens of thousands.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct StepKey(Arc<str>);

/// What starts a bench test has its key, with this before the phase.
const START: &str = ".start";
const BENCH: &str = "/bench";

impl Borrow<str> for StepKey {
    /// Looked up by its text.
    fn borrow(&self) -> &str {
        &self.0
    }
}

impl StepKey {
    /// A key of its three parts.
    pub fn new(owner_kind: &str, owner: impl fmt::Display, deed: &str, phase: &str) -> Self {
        Self(format!("{owner_kind}:{owner}/{deed}/{phase}").into())
    }

    /// The key of a step of `phase`.
    pub fn of(owner_kind: &str, owner: impl fmt::Display, deed: &str, phase: Phase) -> Self {
        Self::new(owner_kind, owner, deed, phase.as_str())
    }

    /// A key as read from a tick or typed; any text, since a key may outlive its facts.
    pub fn from_text(text: &str) -> Self {
        Self(text.into())
    }

    /// The key that a tick holds, which is held once for all.
    pub fn shared(text: &Arc<str>) -> Self {
        Self(Arc::clone(text))
    }

    pub fn as_str(&self) -> &str {
        &self.0
    }

    /// The parts of a key of the usual form; nothing of any other text.
    pub fn parts(&self) -> Option<KeyParts<'_>> {
        let (owner, rest) = self.0.split_once('/')?;
        let (kind, owner) = owner.split_once(':')?;
        let (deed, phase) = rest.rsplit_once('/')?;
        Some(KeyParts { kind, owner, deed, phase })
    }

    /// The step that starts this bench test, if it is one that runs by itself.
    pub(super) fn start(&self) -> Option<Self> {
        let of = self.0.strip_suffix(BENCH).filter(|of| !of.ends_with(START))?;
        Some(Self(format!("{of}{START}{BENCH}").into()))
    }

    /// The bench test that this step starts.
    pub fn started(&self) -> Option<Self> {
        let of = self.0.strip_suffix(BENCH)?.strip_suffix(START)?;
        Some(Self(format!("{of}{BENCH}").into()))
    }

    /// Whether it is a step of an owner of this kind.
    pub fn is_of(&self, kind: &str) -> bool {
        self.parts().is_some_and(|p| p.kind == kind)
    }
}

/// What a key says.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct KeyParts<'a> {
    /// `placement`, `mount`, `piece`, `box`, `link`, `desk`, `season`, `fault`, `watch` ….
    pub kind: &'a str,
    /// The owner's id; of a box with its place, of a watch with its day, parted by `:`.
    pub owner: &'a str,
    /// The recipe step.
    pub deed: &'a str,
    pub phase: &'a str,
}

impl KeyParts<'_> {
    /// The id that the owner begins with.
    pub fn owner_id(&self) -> Option<Uuid> {
        Uuid::try_parse(self.owner.split(':').next()?).ok()
    }
}

impl fmt::Display for StepKey {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.0)
    }
}
