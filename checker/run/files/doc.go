// Package files is where designs and settings are opened and written. Whatever lies in a
// folder may be somebody else's: a link, a pipe, a device, a file without end. Opening
// never waits, reading has a limit and ends with its context, and writing changes one
// file at once or not at all.
package files
