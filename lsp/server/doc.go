// Package server speaks the Language Server Protocol: it keeps the life cycle, takes the
// texts as the editor has them, hands requests to the features and publishes what is
// found.
//
// Messages are taken in the order of the wire by one goroutine. Notifications,
// initialize and shutdown are done there; every other request gets the snapshot that is
// current then and runs by itself. A feature is one file with one entry in the table of
// features.go; lsp/README.md reports how to add one.
package server
