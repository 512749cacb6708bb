// Package fake is a scripted client of the language server, for tests. It runs a server
// in the same process, speaks to it through pipes as an editor would, and holds every
// message that the server sends against the model of the protocol.
package fake
