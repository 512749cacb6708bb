// Package ide answers what an editor asks about a text: it takes a [View] and byte
// offsets and returns plain data in byte offsets. It knows nothing of the protocol, of
// UTF-16, or of documents that come and go; package session makes the views, package
// convert turns answers into those of the protocol.
package ide
