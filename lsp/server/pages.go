package server

import (
	"os"
	"path/filepath"
	"sync"

	"go.lsp.dev/uri"

	"pintle/checker/rule"
	"pintle/checker/run/files"
)

// rulePages writes the reference pages of rules into a folder, each when it is first
// linked to, so that the link works in every editor and without a network.
type rulePages struct {
	catalogue *rule.Catalogue
	dir       string

	mu   sync.Mutex
	uris map[string]uri.URI
}

func newRulePages(c *rule.Catalogue, dir string) *rulePages {
	return &rulePages{catalogue: c, dir: dir, uris: map[string]uri.URI{}}
}

// of returns the page of a rule; "" where there is none or it can't be written: a
// diagnostic is as good without a link.
func (p *rulePages) of(name string) uri.URI {
	if p.dir == "" {
		return ""
	}
	p.mu.Lock()
	defer p.mu.Unlock()
	u, ok := p.uris[name]
	if !ok {
		u = p.write(name)
		p.uris[name] = u
	}
	return u
}

func (p *rulePages) write(name string) uri.URI {
	if _, known := p.catalogue.Lookup(name); !known {
		return ""
	}
	page, err := p.catalogue.Page(name)
	if err != nil {
		return ""
	}
	file := filepath.Join(p.dir, name+".md")
	if old, err := os.ReadFile(file); err == nil && string(old) == page {
		return uri.File(file)
	}
	if os.MkdirAll(p.dir, 0o755) != nil || files.Write(file, []byte(page), 0o644) != nil {
		return ""
	}
	return uri.File(file)
}
