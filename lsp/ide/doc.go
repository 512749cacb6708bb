// Package ide is what the answers to an editor's questions share: the [View] of one document
// at one time, the tree, names and designs behind it, what stands at a byte offset, text edits,
// and the [Text] that answers are written in. The answers themselves are in the packages in this
// folder, by what the editor asks: complete, hover, action, navigate, layout, show and lens. They
// take a View and byte offsets and return plain data in byte offsets. None of them knows the
// protocol, UTF-16, or documents that come and go; package session makes the views, package
// convert turns answers into those of the protocol.
package ide
