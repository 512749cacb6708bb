// Package editors holds what editors need besides the language server, a folder for each.
// It has no code of its own: its tests drive real editors. See README.md.
package editors
