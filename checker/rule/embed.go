package rule

import (
	"io/fs"
)

// Pages are the pages and fixtures that a group embeds: `//go:embed pages testdata`.
type Pages struct{ FS fs.FS }

// Of returns what the reference tells of a rule: pages/NAME.md. It is empty where there
// is no such page; the catalogue refuses a rule without one.
func (p Pages) Of(name string) string {
	text, err := fs.ReadFile(p.FS, "pages/"+name+".md")
	if err != nil {
		return ""
	}
	return string(text)
}

// Fixtures are the folders of fixtures, one for each rule; nil, which the catalogue
// refuses, where none are embedded.
func (p Pages) Fixtures() fs.FS {
	f, err := fs.Sub(p.FS, "testdata")
	if err != nil {
		return nil
	}
	return f
}
