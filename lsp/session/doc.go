// Package session holds the texts that an editor has open, laid over those on disk, and
// what was worked out about them.
//
// A [Session] changes in the order in which the editor speaks; each change makes a new
// [Snapshot], which never changes. A question is answered on the snapshot that was
// current when it came in. What was worked out is reused by content: a statement whose
// text did not change keeps its tree, a root none of whose files changed keeps its
// designs, and its findings even when nothing else of it is kept; in a root that did change,
// islands of its circuits in which nothing electrical is different are not decided again
// (circuit.Memo). [Counts] reports how much was done anew. A new edit cancels the checking of
// the old text; cheap findings are published first.
package session
