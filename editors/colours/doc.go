// Package colours makes the files by which editors colour a design before, or without, the
// semantic tokens of the language server. They are made out of the tables of the language,
// [lang/schema] and [lang/unit], so that no editor knows other words than the language does.
// `go test ./editors/colours -update` writes them.
package colours
