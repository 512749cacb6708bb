package ide_test

import (
	"fmt"
	"io/fs"
	"os"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"pintle/lang/diag"
	"pintle/lang/schema"
	"pintle/lang/source"
	"pintle/lsp/ide"
	"pintle/lsp/ide/action"
	"pintle/lsp/ide/idetest"
)

// find returns the one action whose title begins so.
func find(t *testing.T, list []action.Action, title string) action.Action {
	t.Helper()
	var titles []string
	for _, a := range list {
		if strings.HasPrefix(a.Title, title) {
			return a
		}
		titles = append(titles, a.Title)
	}
	t.Fatalf("no action %q among %q", title, titles)
	return action.Action{}
}

func actionsAt(t *testing.T, v *ide.View, off int, only ...action.ActionKind) []action.Action {
	t.Helper()
	found, err := v.Findings(t.Context())
	require.NoError(t, err)
	found = slices.DeleteFunc(found, func(f diag.Finding) bool { return !f.Contains(off) && len(only) == 0 })
	list, err := action.Actions(t.Context(), v, action.ActionRequest{
		Span: source.Span{Start: off, End: off}, Findings: found, Only: only, Asked: true,
	})
	require.NoError(t, err)
	return list
}

// do makes an action's edits in a text.
func do(t *testing.T, v *ide.View, a action.Action) string {
	t.Helper()
	require.Empty(t, a.Disabled)
	edits, err := a.Change(t.Context())
	require.NoError(t, err)
	require.NotEmpty(t, edits)
	return ide.Apply(v.Src().Text, edits)
}

func TestActions(t *testing.T) {
	for _, c := range []struct {
		name, text, title, want string
		kind                    action.ActionKind
	}{
		{
			name: "a name that was mistyped", title: "Write `engine_speed`", kind: action.QuickFix,
			text: "quantity engine_speed: 0 to 7000 rpm\nthreshold fast: engine_sp‸eet, sets at 3 rpm, clears below 2 rpm\n",
			want: "quantity engine_speed: 0 to 7000 rpm\nthreshold fast: engine_speed, sets at 3 rpm, clears below 2 rpm\n",
		},
		{
			name: "a band for a gap that a threshold keeps in", title: "Write `band between: 1300 to 1600 rpm, keeps, enters as idle`", kind: action.QuickFix,
			text: "quantity speed: 0 to 7000 rpm\nthreshold cut: speed, sets at 1600 rpm, clears below 1300 rpm\nbands b: over speed {\n    band idle: 0 to 1300 rpm\n    ## Above.\n    band off: 16‸00 to 7000 rpm\n}\n",
			want: "quantity speed: 0 to 7000 rpm\nthreshold cut: speed, sets at 1600 rpm, clears below 1300 rpm\nbands b: over speed {\n    band idle: 0 to 1300 rpm\n    band between: 1300 to 1600 rpm, keeps, enters as idle\n    ## Above.\n    band off: 1600 to 7000 rpm\n}\n",
		},
		{
			name: "a band for a gap at the end", title: "Name 5000 to 7000 rpm with a band", kind: action.QuickFix,
			text: "quantity speed: 0 to 7000 rpm\nbands b‸: over speed {\n    band between: 0 to 5000 rpm\n}\n",
			want: "quantity speed: 0 to 7000 rpm\nbands b: over speed {\n    band between: 0 to 5000 rpm\n    band between_2: 5000 to 7000 rpm\n}\n",
		},
		{
			name: "a dead band without a name", title: "Name the dead band of fast, 3000 to 3400 rpm", kind: action.RefactorRewrite,
			text: "quantity speed: 0 to 6000 rpm\nthreshold fast: speed, sets at 3400 rpm, clears below 3000 rpm\nbands b: over speed {\n    band low: 0 to 3400 rpm\n    band high: 3‸400 to 6000 rpm\n}\n",
			want: "quantity speed: 0 to 6000 rpm\nthreshold fast: speed, sets at 3400 rpm, clears below 3000 rpm\nbands b: over speed {\n    band low: 0 to 3000 rpm\n    band between: 3000 to 3400 rpm, keeps, enters as low\n    band high: 3400 to 6000 rpm\n}\n",
		},
		{
			name: "the dead band of a threshold that sets on the way down", title: "Name the dead band of cold, 60 to 70 degC", kind: action.RefactorRewrite,
			text: "quantity heat: 0 to 100 degC\nthreshold cold: heat, sets below 60 degC, clears at 70 degC\nbands b: over heat {\n    band low: 0 to 65 degC\n    band high: 6‸5 to 100 degC\n}\n",
			want: "quantity heat: 0 to 100 degC\nthreshold cold: heat, sets below 60 degC, clears at 70 degC\nbands b: over heat {\n    band low: 0 to 60 degC\n    band between: 60 to 70 degC, keeps, enters as high\n    band high: 70 to 100 degC\n}\n",
		},
		{
			name: "an acceptance without its reason", title: "Accept band-gap on b, with a reason", kind: action.QuickFix,
			text: "quantity speed: 0 to 7000 rpm\nbands b‸: over speed {\n    band low: 0 to 5000 rpm\n}\n",
			want: "quantity speed: 0 to 7000 rpm\nbands b: over speed {\n    band low: 0 to 5000 rpm\n}\n\naccept band-gap: on b, because \"\"\n",
		},
		{
			name: "another unit", title: "Write it as 1.5 kohm", kind: action.RefactorRewrite,
			text: "ground g\nnode a\nresistor R: a to g, 15‸00 ohm +-5 %\n",
			want: "ground g\nnode a\nresistor R: a to g, 1.5 kohm +-5 %\n",
		},
		{
			name: "a range in another unit", title: "Write it as -40 to 302 degF", kind: action.RefactorRewrite,
			text: "quantity heat: -40 to 1‸50 degC\n",
			want: "quantity heat: -40 to 302 degF\n",
		},
		{
			name: "sorting", title: "Sort the file by kind", kind: action.RefactorRewrite,
			text: "title ‸\"a\"\n\n# joins\nwire W1: a to g # its end\nnode a\nground g\n## Tells how fast.\nquantity speed: 0 to 7000 rpm\n",
			want: "title \"a\"\n\n## Tells how fast.\nquantity speed: 0 to 7000 rpm\nground g\nnode a\n\n# joins\nwire W1: a to g # its end\n",
		},
		{
			name: "a part of a body", title: "Make a part of the body of cooling_fan", kind: action.RefactorExtract,
			text: "quantity heat: 0 to 100 degC\nground g\nnode feed\n\n## Blows.\nfit cooling‸_fan: {\n    pin 1, 2, 3\n    ## Turns.\n    load motor: 1 to 2, 5 A at 12 V, turning from 40 %\n    sender bulb: at 3, tells heat\n}\nwire W1: feed to cooling_fan.1\nwire W2: cooling_fan.2 to g\nrequire turns: possible cooling_fan.motor is turning\n",
			want: "quantity heat: 0 to 100 degC\nground g\nnode feed\n\npart CoolingFan {\n    takes heat: quantity\n    pin 1, 2, 3\n    ## Turns.\n    load motor: 1 to 2, 5 A at 12 V, turning from 40 %\n    sender bulb: at 3, tells heat\n    shows motor\n}\n\n## Blows.\nfit cooling_fan: CoolingFan(heat heat)\nwire W1: feed to cooling_fan.1\nwire W2: cooling_fan.2 to g\nrequire turns: possible cooling_fan.motor is turning\n",
		},
		{
			name: "a body in place of its part", title: "Put the body of Lamp here, its only fit", kind: action.RefactorInline,
			text: "ground g\nsetting key: off, on\n\n## Lights up.\npart Lamp {\n    takes power: W\n    takes closed: condition\n    pin 1, 2, 3\n    load filament: 1 to 2, power at 12 V, lit from 60 %\n    contact c: 2 to 3, make, made when not closed\n    shows filament\n}\n\nfit left: Lam‸p(power 5 W, closed when key is on)\nwire W1: left.2 to g\n",
			want: "ground g\nsetting key: off, on\n\n## Lights up.\nfit left: {\n    pin 1, 2, 3\n    load filament: 1 to 2, 5 W at 12 V, lit from 60 %\n    contact c: 2 to 3, make, made when not key is on\n}\nwire W1: left.2 to g\n",
		},
	} {
		t.Run(c.name, func(t *testing.T) {
			v, off := idetest.One(t, c.text)
			a := find(t, actionsAt(t, v, off), c.title)
			assert.Equal(t, c.kind, a.Kind)
			assert.Equal(t, c.want, do(t, v, a))
			// What an action says that it clears is gone afterwards.
			if len(a.Clears) > 0 && !strings.HasPrefix(a.Title, "Accept") {
				edits, err := a.Change(t.Context())
				require.NoError(t, err)
				after := idetest.Files(t, idetest.Applied(map[string]string{"main.pintle": v.Src().Text}, edits), "main.pintle")
				found, err := after.Findings(t.Context())
				require.NoError(t, err)
				for _, f := range found {
					for _, gone := range a.Clears {
						assert.False(t, f.Rule == gone.Rule && f.Message == gone.Message, "%s still stands", f.Message)
					}
				}
			}
		})
	}
}

// What can't be done says why, and only to who asks.
func TestActionsDisabled(t *testing.T) {
	for _, c := range []struct{ text, title, why string }{
		{"node n\nfit bo‸x: {\n    pin 1\n    wire W1: n to 1\n}\n", "Make a part", "the body names n, which a part can't see"},
		{"part P {\n    pin 1, 2\n    bench b {\n        setting s: a, b\n    }\n}\nfit f‸: P\n", "Put the body of P", "benches"},
		{"wire W1: a to g\n\n# by itself\n\nground g\nnode‸ a\n", "Sort the file", "a comment stands by itself"},
	} {
		v, off := idetest.One(t, c.text)
		list := actionsAt(t, v, off)
		assert.Contains(t, find(t, list, c.title).Disabled, c.why)
		quiet, err := action.Actions(t.Context(), v, action.ActionRequest{Span: source.Span{Start: off, End: off}})
		require.NoError(t, err)
		for _, a := range quiet {
			assert.Empty(t, a.Disabled)
		}
	}
}

func TestFixAll(t *testing.T) {
	v, _ := idetest.One(t, "quantity engine_speed: 0 to 7000 rpm‸\nthreshold fast: engine_speet, sets at 30 rpmm, clears below 20 rpm\ncondition hot: engine_sped above 10 rpm\n")
	list := actionsAt(t, v, 0, action.FixAll)
	require.Len(t, list, 1)
	assert.Equal(t, action.FixAll, list[0].Kind)
	text := do(t, v, list[0])
	assert.Contains(t, text, "sets at 30 rpm,")
	assert.Contains(t, text, "hot: engine_speed above")
	assert.Empty(t, actionsAt(t, idetest.Files(t, map[string]string{"main.pintle": "ground g\n"}, "main.pintle"), 0, action.FixAll), "nothing to correct")
}

// Corrections that do not read well together are tried one by one; of two that touch each
// other the first is made.
func TestFixAllTriesOneByOne(t *testing.T) {
	v, _ := idetest.One(t, "node a‸\nnode b\n")
	finding := func(start, end int, text string) diag.Finding {
		at := diag.Place{File: v.Src(), Span: source.Span{Start: start, End: end}}
		return diag.Finding{Place: at, Message: text, Fixes: []diag.Fix{{Title: text, Edits: []diag.Edit{{Place: at, New: text}}}}}
	}
	list, err := action.Actions(t.Context(), v, action.ActionRequest{Only: []action.ActionKind{action.FixAll}, Findings: []diag.Finding{
		finding(5, 6, "c, , d"), finding(12, 13, "e"), finding(12, 13, "f"),
	}})
	require.NoError(t, err)
	require.Len(t, list, 1)
	assert.Equal(t, "node a\nnode e\n", do(t, v, list[0]))
	assert.Equal(t, "Make all certain corrections (1)", list[0].Title)
}

// Fixes that take something out are offered one by one, never all at once and never first.
func TestFixAllTakesNothingOut(t *testing.T) {
	v, off := idetest.One(t, `title "Left over"
setting key: off, run
ground block
supply battery: 12.6 V, from block to stud, inside 10 mohm
fuse F1: battery.stud to feed, 10 A
node feed, out
contact blade: feed to out, make, made when key is run, up to 10 A
load lamp: out to block, 21 W at 12 V, lit from 60 %
condition da‸rk: lamp is lit
`)
	assert.Empty(t, actionsAt(t, v, off, action.FixAll))
	assert.False(t, find(t, actionsAt(t, v, off), "Take dark out").Preferred)
}

// Every refactoring that is offered anywhere in the examples leaves the verdict as it is.
func TestRefactoringsKeepTheVerdict(t *testing.T) {
	texts := exampleTexts(t)
	done := map[action.ActionKind]int{}
	for name := range texts {
		if testing.Short() && !strings.HasPrefix(name, "kick") {
			continue
		}
		v := idetest.Files(t, texts, name)
		before := verdicts(t, v)
		seen, rewritten := map[string]bool{}, 0
		for _, st := range v.Tree.All() {
			list, err := action.Actions(t.Context(), v, action.ActionRequest{
				Span: source.Span{Start: st.Span.Start, End: st.Span.Start},
				Only: []action.ActionKind{action.RefactorExtract, action.RefactorInline, action.RefactorRewrite},
			})
			require.NoError(t, err)
			for _, a := range list {
				// Of the many units and bodies only a few are tried.
				if seen[a.Title] || a.Kind == action.RefactorRewrite && rewritten == 4 {
					continue
				}
				seen[a.Title] = true
				if a.Kind == action.RefactorRewrite {
					rewritten++
				}
				edits, err := a.Change(t.Context())
				if err != nil {
					t.Logf("%s: %s: %v", name, a.Title, err)
					continue
				}
				done[a.Kind]++
				after := idetest.Files(t, idetest.Applied(texts, edits), name)
				assert.Empty(t, after.Tree.Findings, "%s: %s", name, a.Title)
				if got := verdicts(t, after); !assert.Equal(t, before, got, "%s: %s", name, a.Title) {
					t.Log(after.Src().Text)
				}
			}
		}
	}
	// Putting a part back is tried by [TestExtractAndInline].
	for _, k := range []action.ActionKind{action.RefactorExtract, action.RefactorRewrite} {
		assert.NotZero(t, done[k], "%s was never tried", k)
	}
}

// A part made of a body and put back in its place is the body again.
func TestExtractAndInline(t *testing.T) {
	texts := exampleTexts(t)
	n := 0
	for name, text := range texts {
		if testing.Short() && !strings.HasPrefix(name, "kick") {
			continue
		}
		v := idetest.Files(t, texts, name)
		before := verdicts(t, v)
		for _, st := range v.Tree.Stmts {
			if st.Kind == nil || st.Kind.ID != schema.Fit || !st.HasBody {
				continue
			}
			at := st.Name().Start
			var out *action.Action
			for _, a := range actionsAt(t, v, at, action.RefactorExtract) {
				if a.Disabled == "" {
					out = &a
				}
			}
			if out == nil {
				continue
			}
			edits, err := out.Change(t.Context())
			require.NoError(t, err, out.Title)
			with := idetest.Applied(texts, edits)
			w := idetest.Files(t, with, name)
			at = strings.Index(with[name], "fit "+st.Name().Text+": ") + len("fit ")
			in := actionsAt(t, w, at, action.RefactorInline)
			require.Len(t, in, 1)
			require.Empty(t, in[0].Disabled)
			edits, err = in[0].Change(t.Context())
			require.NoError(t, err, in[0].Title)
			again := idetest.Applied(with, edits)
			assert.Equal(t, before, verdicts(t, idetest.Files(t, again, name)), again[name])
			if !strings.Contains(with[name], "takes "+st.Name().Text) {
				assert.Equal(t, text, again[name])
			}
			n++
		}
	}
	assert.NotZero(t, n)
}

// verdicts are what is found in a document and in one that uses it, without the places.
func verdicts(t *testing.T, v *ide.View) []string {
	t.Helper()
	var out []string
	for _, r := range v.Roots[:min(2, len(v.Roots))] {
		res, err := r.Check(t.Context())
		require.NoError(t, err)
		for _, f := range res.Findings {
			out = append(out, fmt.Sprintf("%s %s %s", f.Rule, f.Subject, f.Message))
		}
		out = append(out, fmt.Sprint(res.Summary.Claims, res.Summary.Drives, res.Summary.DrivesFailed))
	}
	slices.Sort(out)
	return out
}

func exampleTexts(t *testing.T) map[string]string {
	t.Helper()
	texts := map[string]string{}
	fsys := os.DirFS(examples)
	require.NoError(t, fs.WalkDir(fsys, ".", func(p string, e fs.DirEntry, err error) error {
		if err != nil || e.IsDir() || !strings.HasSuffix(p, ".pintle") || strings.HasPrefix(p, "faulty/") {
			return err
		}
		text, err := fs.ReadFile(fsys, p)
		texts[p] = string(text)
		return err
	}))
	return texts
}
