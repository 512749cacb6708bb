package ide_test

import (
	"context"
	"errors"
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"pintle/lang/diag"
	"pintle/lang/source"
	"pintle/lsp/ide"
	"pintle/lsp/ide/action"
	"pintle/lsp/ide/idetest"
	"pintle/lsp/ide/layout"
	"pintle/lsp/ide/lens"
	"pintle/lsp/ide/show"
)

// editAll asks every feature that shows or changes a text, at one place of it. What comes
// back must lie in the text; edits must not touch each other; nothing may fail but by
// refusing.
func editAll(t *testing.T, v *ide.View, off int) {
	t.Helper()
	ctx := t.Context()
	n := len(v.Src().Text)
	within := func(s source.Span) {
		t.Helper()
		require.Truef(t, 0 <= s.Start && s.Start <= s.End && s.End <= n, "%d to %d of %d", s.Start, s.End, n)
	}
	apart := func(edits []diag.Edit) {
		t.Helper()
		for i, a := range edits {
			require.NotNil(t, a.File)
			require.True(t, 0 <= a.Start && a.Start <= a.End && a.End <= len(a.File.Text))
			for _, b := range edits[:i] {
				require.True(t, a.File != b.File || a.End <= b.Start || b.End <= a.Start, "edits that touch each other")
			}
		}
	}
	for _, f := range layout.Folds(v.Tree) {
		within(f.Span)
	}
	inner := source.Span{Start: n + 1, End: -1}
	for i, s := range layout.Selections(v.Tree, off) {
		within(s)
		require.True(t, s.Contains(off))
		require.True(t, i == 0 || s.Start <= inner.Start && inner.End <= s.End, "selections are nested")
		inner = s
	}
	for _, s := range show.Swatches(v.Tree) {
		within(s.Span)
	}
	apart(layout.Formatting(v.Tree))
	apart(layout.FormatRange(v.Tree, source.Span{Start: off, End: min(off+50, n)}))
	apart(layout.FormatTyped(v.Tree, off, "\n"))
	apart(layout.FormatTyped(v.Tree, off, "}"))

	tokens, err := show.Tokens(ctx, v, whole(v))
	require.NoError(t, err)
	end := 0
	for _, x := range tokens {
		within(x.Span)
		require.GreaterOrEqual(t, x.Start, end)
		end = x.End
		require.NotContains(t, v.Src().Text[x.Start:x.End], "\n")
	}
	hints, err := show.Hints(ctx, v, source.Span{Start: max(0, off-200), End: off})
	require.NoError(t, err)
	for _, h := range hints {
		within(source.Span{Start: h.At, End: h.At})
		require.NotEmpty(t, h.Label)
		apart(h.Edits)
	}
	lenses, err := lens.Lenses(ctx, v)
	require.NoError(t, err)
	for _, l := range lenses {
		within(l.Span)
	}
	_, _, err = lens.FaultsOf(ctx, v, off)
	require.NoError(t, err)

	quick, err := v.Root.Quick(ctx)
	require.NoError(t, err)
	list, err := action.Actions(ctx, v, action.ActionRequest{
		Span: source.Span{Start: off, End: off}, Findings: ide.In(v.Src().Name, quick.Findings), Asked: true,
		Only: []action.ActionKind{""},
	})
	require.NoError(t, err)
	for _, a := range list {
		require.NotEmpty(t, a.Title)
		if a.Disabled != "" {
			continue
		}
		edits, err := a.Change(ctx)
		var r *ide.RefusedError
		require.Truef(t, err == nil || errors.As(err, &r), "%s: %v", a.Title, err)
		apart(edits)
	}
}

// TestEditingHalfTyped cuts examples off at many places, with and without what follows in
// the next lines.
func TestEditingHalfTyped(t *testing.T) {
	stride := 401
	if testing.Short() {
		stride = 1999
	}
	for name, text := range corpus(t) {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			for off := len(name) % stride; off < len(text); off += stride {
				rest := ""
				if i := strings.IndexByte(text[off:], '\n'); i >= 0 {
					rest = text[off+i:]
				}
				for _, cut := range []string{text[:off], text[:off] + rest} {
					editAll(t, idetest.Files(t, map[string]string{name: cut}, name), off)
				}
			}
		})
	}
}

// TestEditingOddTexts asks at every byte of texts that no parser likes.
func TestEditingOddTexts(t *testing.T) {
	for _, text := range oddTexts {
		t.Run(fmt.Sprintf("%.20q", text), func(t *testing.T) {
			v := idetest.Files(t, map[string]string{"main.pintle": text}, "main.pintle")
			for off := 0; off <= len(text); off += 1 + len(text)/40 {
				editAll(t, v, off)
			}
			editAll(t, v, len(text))
		})
	}
}

// oddTexts are bits that end in the middle of something.
var oddTexts = []string{
	"", " ", "\n", "}", "{", "}}}\n{", "fit", "fit a:", "fit a: {", "fit a: {}", "fit a: B((((", "part A {}\nfit a: A", "part A {\nfit a: A\n}\nfit b: A",
	"part A {\n    takes a: V\n    fit b: B(v a)\n}\npart B {\n    takes v: V\n    fit a: A(a v)\n}", "use \"", "use \"a", "use \"a\"\nuse \"b\"",
	"\ufeffwire \U0001F527: a to b", "\x80\x81", "\x00", "# only\r\nwire w: a to\r\n", "# a\r# b\rnode n\r", "wire w: a to b, light", "wire w: a to b, light/",
	"wire w: a to b, red/\n", "bands b: over q {\n", "bands b: over q {\n    band\n}", "quantity q: 0 to 0 rpm\nbands b: over q {\n    band a: 0 to 0 rpm\n}",
	"quantity q: 0 to 9 rpm\nbands b: over q {\n    band a: 9 to 0 rpm\n}", "accept x: on y, because \"", "threshold t: volts a", "timer t: lasts 3",
	"coil c: 85 ohm +-", "wire w: 2/0 AWG", "title \"a\" b", strings.Repeat("(", 3000), strings.Repeat("fit a: {\n", 70), strings.Repeat("}", 100),
}

// A question that nobody waits for any more ends with the error of its context.
func TestEditingHonoursTheContext(t *testing.T) {
	for name, ask := range map[string]func(context.Context, *ide.View) error{
		"tokens": func(ctx context.Context, v *ide.View) error { _, err := show.Tokens(ctx, v, whole(v)); return err },
		"hints":  func(ctx context.Context, v *ide.View) error { _, err := show.Hints(ctx, v, whole(v)); return err },
		"drive": func(ctx context.Context, v *ide.View) error {
			_, err := lens.RunDrive(ctx, v, "overtaking", 0)
			return err
		},
		"actions": func(ctx context.Context, v *ide.View) error {
			at := strings.Index(v.Src().Text, "fit gear_box")
			_, err := action.Actions(ctx, v, action.ActionRequest{Span: source.Span{Start: at, End: at}})
			return err
		},
	} {
		t.Run(name, func(t *testing.T) {
			ctx, cancel := context.WithCancel(t.Context())
			cancel()
			require.ErrorIs(t, ask(ctx, freshView(t)), context.Canceled)
			require.NoError(t, ask(t.Context(), freshView(t)))
		})
	}
}

// freshView is one of a document of which nothing was asked yet.
func freshView(t *testing.T) *ide.View {
	texts := exampleTexts(t)
	return idetest.Files(t, map[string]string{"kickdown.pintle": texts["kickdown.pintle"]}, "kickdown.pintle")
}
