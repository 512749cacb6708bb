// Package editors holds what editors need besides the language server: files that colour
// a design before, or without, the server's semantic tokens. They are made out of the
// tables of the language, [lang/kinds] and [lang/unit], so that no editor knows other words
// than the language does. `go test ./editors -update` writes them.
//
// Its tests drive real editors; see README.md.
package editors
