package ide_test

import (
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"pintle/lang/diag"
	defs "pintle/lang/name"
	"pintle/lsp/ide"
	"pintle/lsp/ide/complete"
	"pintle/lsp/ide/hover"
	"pintle/lsp/ide/idetest"
	"pintle/lsp/ide/navigate"
)

// askAll asks every feature of this file about one place; what comes back must lie in the
// text, and nothing may fail but by refusing.
func askAll(t *testing.T, v *ide.View, off int) {
	t.Helper()
	ctx := t.Context()
	n := len(v.Src().Text)
	within := func(start, end int) {
		t.Helper()
		require.Truef(t, 0 <= start && start <= end && end <= n, "%d to %d of %d", start, end, n)
	}
	for _, snippets := range []bool{false, true} {
		c, err := complete.At(ctx, v, off, complete.Options{Snippets: snippets})
		require.NoError(t, err)
		for _, it := range c.Items {
			within(it.Replace.Start, it.Replace.End)
			require.True(t, it.Replace.Start <= off && off <= it.Replace.End)
			if snippets && it.Kind != complete.ItemUnit {
				_, err := complete.Resolve(ctx, v, it.More)
				require.NoError(t, err)
			}
		}
	}
	_, err := complete.SignatureAt(ctx, v, off)
	require.NoError(t, err)
	for _, f := range []func(context.Context, *ide.View, int) ([]navigate.Target, error){navigate.Definition, navigate.Declaration, navigate.TypeDefinition, navigate.Implementation} {
		got, err := f(ctx, v, off)
		require.NoError(t, err)
		for _, g := range got {
			require.NotNil(t, g.File)
			within(g.Origin.Start, g.Origin.End)
		}
	}
	_, err = navigate.References(ctx, v, off, true)
	require.NoError(t, err)
	h, err := navigate.Highlights(ctx, v, off)
	require.NoError(t, err)
	for _, x := range h {
		within(x.Start, x.End)
	}
	_, err = navigate.PrepareRename(ctx, v, off)
	var r *ide.RefusedError
	require.True(t, err == nil || errors.As(err, &r))
}

// corpus are the texts of all examples, the faulty ones too.
func corpus(t *testing.T) map[string]string {
	t.Helper()
	out := map[string]string{}
	err := filepath.WalkDir(examples, func(p string, e os.DirEntry, err error) error {
		if err != nil || e.IsDir() || !strings.HasSuffix(p, ".pintle") {
			return err
		}
		text, err := os.ReadFile(p)
		rel, _ := filepath.Rel(examples, p)
		out[filepath.ToSlash(rel)] = string(text)
		return err
	})
	require.NoError(t, err)
	return out
}

// TestHalfTyped cuts examples off at many places, with and without what follows in the
// next lines, and asks everything there.
func TestHalfTyped(t *testing.T) {
	all := corpus(t)
	stride := 211
	if testing.Short() {
		stride = 997
	}
	for name, text := range all {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			for off := len(name) % stride; off < len(text); off += stride {
				rest := ""
				if i := strings.IndexByte(text[off:], '\n'); i >= 0 {
					rest = text[off+i:]
				}
				for _, cut := range []string{text[:off], text[:off] + rest} {
					v := idetest.Files(t, map[string]string{name: cut}, name)
					askAll(t, v, off)
					if off%5 == 0 {
						_, err := hover.At(t.Context(), v, max(off-1, 0))
						require.NoError(t, err)
					}
					_, err := navigate.Links(t.Context(), v)
					require.NoError(t, err)
					navigate.Symbols(v.Tree)
				}
			}
		})
	}
}

// TestOddTexts asks at every byte of texts that no parser likes.
func TestOddTexts(t *testing.T) {
	for _, text := range []string{
		"", " ", "\n", "}", "{", "}}}\n{", "fit", "fit a:", "fit a: (", "fit a: B((((", "use \"", "use \"a", "coil °: µ to Ω, 4 Ω ±",
		"\ufeffwire \U0001F527: a to b", "a.b.c.d.", "...", ". . .", "wire w: .", "wire w: a. to .b", "\x80\x81", "\x00", "# only\r\nwire w: a to\r\n",
		"condition c: ((((((", "condition c: not not not not", "accept", "accept x: on", "from a to", "modes m {\nfrom", "bands b {\nband",
		"require r: a is any of", "require r: volts", "require r: current", "drive d {\nstep: set", "part p {\nbench b: with", "step: fail a stuck",
		"threshold t: volts a", "timer t: lasts 3", "coil c: 85 ohm +-", "wire w: 2/", "wire w: 2/0", "only", "only when", "chart c {\nrow", "title \"a\" b",
		strings.Repeat("(", 3000), "condition c: " + strings.Repeat("(", 3000), "condition c: " + strings.Repeat("not ", 3000), strings.Repeat("fit a: {\n", 100),
	} {
		t.Run(fmt.Sprintf("%.20q", text), func(t *testing.T) {
			v := idetest.Files(t, map[string]string{"main.pintle": text}, "main.pintle")
			for off := 0; off <= len(text); off += 1 + len(text)/40 {
				askAll(t, v, off)
				_, err := hover.At(t.Context(), v, off)
				require.NoError(t, err)
			}
			askAll(t, v, len(text))
		})
	}
}

// TestRenameEverything renames every definition of the examples to a name that nothing
// has, and back: that gives the text that was there.
func TestRenameEverything(t *testing.T) {
	all := corpus(t)
	for name := range all {
		if testing.Short() && !strings.HasPrefix(name, "kick") {
			continue
		}
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			texts := map[string]string{name: all[name]}
			for other, text := range all {
				if strings.HasPrefix(other, "parts/") {
					texts[other] = text
				}
			}
			v := idetest.Files(t, texts, name)
			x, err := v.Root.Read(t.Context())
			require.NoError(t, err)
			for i, d := range x.Index.Definitions(v.Src()) {
				if d.Broken || i%11 != len(name)%11 {
					continue
				}
				edits, err := navigate.Rename(t.Context(), v, d.NamePlace.Start, "zz9")
				if d.Sort == defs.Position && err != nil && strings.Contains(err.Error(), "is no position of") {
					continue // a part names the position of whatever setting it takes
				}
				if !assert.NoErrorf(t, err, "%s %s", d.Word(), d.Path()) {
					continue
				}
				after := map[string]string{}
				by := map[string][]diag.Edit{}
				for _, e := range edits {
					assert.Contains(t, e.File.Text[e.Start:e.End], strings.TrimSuffix(d.Name, "s")[:1])
					by[strings.TrimPrefix(e.File.Name, idetest.Folder)] = append(by[strings.TrimPrefix(e.File.Name, idetest.Folder)], e)
				}
				for n, text := range texts {
					after[n] = ide.Apply(text, by[n])
				}
				// Back again, at the place where the definition is then.
				w := idetest.Files(t, after, name)
				off := d.NamePlace.Start
				for _, e := range by[name] {
					if e.Start < d.NamePlace.Start {
						off += len(e.New) - e.Len()
					}
				}
				back, err := navigate.Rename(t.Context(), w, off, d.Name)
				if !assert.NoErrorf(t, err, "%s %s back", d.Word(), d.Path()) {
					continue
				}
				own := []diag.Edit{}
				for _, e := range back {
					if e.File == w.Src() {
						own = append(own, e)
					}
				}
				if !strings.Contains(texts[name], "ing") {
					assert.Equal(t, texts[name], ide.Apply(after[name], own))
				}
			}
		})
	}
}
