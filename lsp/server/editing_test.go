package server_test

import (
	"encoding/json"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"pintle/lsp/fake"
	"pintle/lsp/server/rpc"
)

// editor is what a client says that can do all that is here.
const editor = `{"general":{"positionEncodings":["ENCODING"]},
	"workspace":{"workspaceEdit":{"documentChanges":true},"fileOperations":{"willRename":true},"inlayHint":{"refreshSupport":true},"codeLens":{"refreshSupport":true}},
	"textDocument":{
		"hover":{"contentFormat":["markdown"]},
		"codeAction":{"codeActionLiteralSupport":{"codeActionKind":{"valueSet":["quickfix"]}},"isPreferredSupport":true,"disabledSupport":true,
			"dataSupport":true,"resolveSupport":{"properties":["edit"]}},
		"foldingRange":{"lineFoldingOnly":true},
		"semanticTokens":{"requests":{"range":true,"full":{"delta":true}}},
		"publishDiagnostics":{"dataSupport":true}}}`

type textEdit struct {
	Range   fake.Range
	NewText string
}

type workspaceEdit struct {
	DocumentChanges []struct {
		TextDocument struct {
			URI     string
			Version *int
		}
		Edits []textEdit
	}
}

type action struct {
	Title, Kind string
	IsPreferred bool
	Disabled    *struct{ Reason string }
	Diagnostics []json.RawMessage
	Edit        *workspaceEdit
	Data        json.RawMessage
}

// change replaces the text of the van.
func (d *desk) change(version int, text string) {
	d.Edit(d.van, version, fake.Change{Text: text})
}

// applied makes edits in a text.
func (d *desk) applied(text string, edits []textEdit) string {
	d.t.Helper()
	for i := len(edits) - 1; i >= 0; i-- {
		old := d.within(text, edits[i].Range)
		at := len(d.within(text, fake.Range{End: edits[i].Range.Start}))
		text = text[:at] + edits[i].NewText + text[at+len(old):]
	}
	return text
}

func (d *desk) document() map[string]any {
	return map[string]any{"textDocument": map[string]any{"uri": d.van}}
}

// here are params about an empty range.
func (d *desk) here(text, marked string) map[string]any {
	p := d.document()
	at := d.place(text, marked)
	p["range"] = map[string]any{"start": at, "end": at}
	return p
}

func (d *desk) actions(text, marked string, context map[string]any) []action {
	d.t.Helper()
	p := d.here(text, marked)
	if context["diagnostics"] == nil {
		context["diagnostics"] = []any{}
	}
	p["context"] = context
	var list []json.RawMessage
	d.Request("textDocument/codeAction", p, &list)
	out := make([]action, len(list))
	for i, raw := range list {
		require.NoError(d.t, json.Unmarshal(raw, &out[i]))
		if out[i].Data != nil {
			out[i].Data = raw // all of it is what is resolved
		}
	}
	return out
}

func titled(t *testing.T, list []action, title string) action {
	t.Helper()
	var titles []string
	for _, a := range list {
		if strings.HasPrefix(a.Title, title) {
			return a
		}
		titles = append(titles, a.Title)
	}
	t.Fatalf("no %q among %q", title, titles)
	return action{}
}

const mistyped = vanText + "## 🔧 Is on.\ncondition on: kay is run or lamp is litt\n"

func TestCodeActionsOnTheWire(t *testing.T) {
	for _, encoding := range []string{"utf-8", "utf-16", "utf-32"} {
		t.Run(encoding, func(t *testing.T) {
			d := sit(t, editor, encoding)
			d.change(2, mistyped)
			d.Settle()
			pushed, ok := d.Published(d.van)
			require.True(t, ok)
			require.Len(t, pushed.Diagnostics, 2)

			// The diagnostic that a client sends along comes back with the fix for it.
			fix := titled(t, d.actions(mistyped, "on: ka‸y", map[string]any{"diagnostics": pushed.Diagnostics}), "Write `key`")
			assert.Equal(t, "quickfix", fix.Kind)
			assert.True(t, fix.IsPreferred)
			assert.Len(t, fix.Diagnostics, 1)
			require.Len(t, fix.Edit.DocumentChanges, 1)
			assert.Equal(t, 2, *fix.Edit.DocumentChanges[0].TextDocument.Version)
			assert.Equal(t, strings.Replace(mistyped, "kay", "key", 1), d.applied(mistyped, fix.Edit.DocumentChanges[0].Edits))

			all := d.actions(mistyped, "‸use", map[string]any{"only": []string{"source.fixAll"}})
			require.Len(t, all, 1)
			assert.Equal(t, "source.fixAll.pintle", all[0].Kind)
			assert.Equal(t, strings.NewReplacer("kay", "key", "litt", "lit").Replace(mistyped), d.applied(mistyped, all[0].Edit.DocumentChanges[0].Edits))
			assert.Empty(t, d.actions(mistyped, "on: ka‸y", map[string]any{"only": []string{"source.organizeImports"}}))
		})
	}
}

func TestCodeActionResolve(t *testing.T) {
	d := sit(t, editor, "utf-16")
	a := titled(t, d.actions(vanText, "fit S‸1: {", map[string]any{}), "Make a part of the body of S1")
	// The body names a setting whose position decides: that can be taken along.
	require.Nil(t, a.Disabled)
	require.Nil(t, a.Edit)
	var resolved action
	d.Request("codeAction/resolve", a.Data, &resolved)
	require.Len(t, resolved.Edit.DocumentChanges, 1)
	assert.Equal(t, 1, *resolved.Edit.DocumentChanges[0].TextDocument.Version)
	assert.Contains(t, d.applied(vanText, resolved.Edit.DocumentChanges[0].Edits), "fit S1: S1Part")

	// What was offered of an older text is not made in the new one.
	d.change(2, vanText+"\n")
	assert.Equal(t, rpc.ContentModified, code(t, d.Try("codeAction/resolve", a.Data, nil)))

	// A person is told why something can't be done, an editor that only looks is not.
	blocked := strings.Replace(vanText, "pin 1, 2\n", "pin 1, 2\n    wire inner: 1 to block\n", 1)
	d.change(3, blocked)
	why := titled(t, d.actions(blocked, "fit S‸1: {", map[string]any{"triggerKind": 1}), "Make a part")
	require.NotNil(t, why.Disabled)
	assert.Contains(t, why.Disabled.Reason, "block")
	for _, a := range d.actions(blocked, "fit S‸1: {", map[string]any{"triggerKind": 2}) {
		assert.Nil(t, a.Disabled)
	}
}

// A client that does not ask for edits later gets them at once; one that knows no code
// actions but commands is not told of any.
func TestCodeActionsOfSimpleClients(t *testing.T) {
	d := sit(t, `{"textDocument":{"codeAction":{"codeActionLiteralSupport":{"codeActionKind":{"valueSet":[]}}}}}`, "utf-16")
	a := titled(t, d.actions(vanText, "fit S‸1: {", map[string]any{}), "Make a part of the body of S1")
	assert.NotNil(t, a.Edit)
	assert.Nil(t, a.Data)

	old := sit(t, `{}`, "utf-16")
	for _, word := range []string{"codeActionProvider", "willRename"} {
		assert.NotContains(t, string(old.Capabilities), word)
	}
}

func TestFormattingOnTheWire(t *testing.T) {
	for _, encoding := range []string{"utf-8", "utf-16"} {
		d := sit(t, editor, encoding)
		text := "# 🔧\nground   g\nfit box: {\n  pin   1 # 🔧\n}\n"
		d.change(2, text)
		options := map[string]any{"tabSize": 8, "insertSpaces": false}
		p := d.document()
		p["options"] = options
		var edits []textEdit
		d.Request("textDocument/formatting", p, &edits)
		assert.Equal(t, "# 🔧\nground g\nfit box: {\n    pin 1  # 🔧\n}\n", d.applied(text, edits))

		// Of a stretch only statements are laid out, not what stands beside them.
		p = d.here(text, "pi‸n")
		p["options"] = options
		d.Request("textDocument/rangeFormatting", p, &edits)
		assert.Equal(t, "# 🔧\nground   g\nfit box: {\n    pin 1 # 🔧\n}\n", d.applied(text, edits))

		p = d.document()
		p["options"], p["ch"], p["position"] = options, "}", d.place(text, "\n}‸\n")
		d.Request("textDocument/onTypeFormatting", p, &edits)
		assert.Equal(t, "# 🔧\nground   g\nfit box: {\n    pin 1  # 🔧\n}\n", d.applied(text, edits))
	}
}

func TestShapesOnTheWire(t *testing.T) {
	d := sit(t, editor, "utf-16")
	var folds []struct {
		StartLine, EndLine int
		StartCharacter     *int
		Kind               string
	}
	d.Request("textDocument/foldingRange", d.document(), &folds)
	require.Len(t, folds, 1)
	assert.Equal(t, 5, folds[0].StartLine)
	assert.Equal(t, 7, folds[0].EndLine, "the closing brace stays")
	assert.Nil(t, folds[0].StartCharacter)

	type selection struct {
		Range  fake.Range
		Parent *selection
	}
	var list []selection
	p := d.document()
	p["positions"] = []any{d.place(vanText, "K1.wind‸ing is"), d.place(vanText, "‸use")}
	d.Request("textDocument/selectionRange", p, &list)
	require.Len(t, list, 2)
	assert.Equal(t, "winding", d.within(vanText, list[0].Range))
	assert.Equal(t, "K1.winding", d.within(vanText, list[0].Parent.Range))
	last := list[1]
	for last.Parent != nil {
		last = *last.Parent
	}
	assert.Equal(t, vanText, d.within(vanText, last.Range))
}

func TestColoursOnTheWire(t *testing.T) {
	d := sit(t, editor, "utf-16")
	var list []struct {
		Range fake.Range
		Color struct{ Red, Green, Blue, Alpha float64 }
	}
	d.Request("textDocument/documentColor", d.document(), &list)
	require.Len(t, list, 5)
	assert.Equal(t, "brown", d.within(vanText, list[2].Range))
	for _, c := range list {
		assert.Equal(t, 1.0, c.Color.Alpha)
	}
	var choices []struct {
		Label    string
		TextEdit textEdit
	}
	p := d.document()
	p["range"], p["color"] = list[2].Range, map[string]any{"red": 0.81, "green": 0.125, "blue": 0.14, "alpha": 1}
	d.Request("textDocument/colorPresentation", p, &choices)
	require.NotEmpty(t, choices)
	assert.Equal(t, "red", choices[0].Label)
	assert.Equal(t, strings.Replace(vanText, "brown", "red", 1), d.applied(vanText, []textEdit{choices[0].TextEdit}))
}

func TestSemanticTokensOnTheWire(t *testing.T) {
	for _, encoding := range []string{"utf-8", "utf-16", "utf-32"} {
		t.Run(encoding, func(t *testing.T) {
			d := sit(t, editor, encoding)
			var caps struct {
				SemanticTokensProvider struct {
					Legend struct{ TokenTypes, TokenModifiers []string }
					Full   struct{ Delta bool }
				}
			}
			require.NoError(t, json.Unmarshal(d.Capabilities, &caps))
			assert.True(t, caps.SemanticTokensProvider.Full.Delta)
			words := func(text string, data []uint32) []string {
				var out []string
				line, column := uint32(0), uint32(0)
				for i := 0; i+5 <= len(data); i += 5 {
					if data[i] > 0 {
						line, column = line+data[i], 0
					}
					column += data[i+1]
					span := fake.Range{Start: fake.Position{Line: line, Character: column}, End: fake.Position{Line: line, Character: column + data[i+2]}}
					out = append(out, d.within(text, span)+" "+caps.SemanticTokensProvider.Legend.TokenTypes[data[i+3]])
				}
				return out
			}
			var full, fresh struct {
				ResultID string
				Data     []uint32
			}
			d.Request("textDocument/semanticTokens/full", d.document(), &full)
			got := words(vanText, full.Data)
			assert.Contains(t, got, "Relay class")
			assert.Contains(t, got, `"dark 🔧" string`)
			assert.Contains(t, got, "energised enumMember", "behind the astral character")

			// An edit makes a delta that leads from the old numbers to the new ones.
			text := strings.Replace(vanText, "setting key", "## 🔧\nsetting key", 1)
			d.change(2, text)
			var delta struct {
				ResultID string
				Edits    []struct {
					Start, DeleteCount int
					Data               []uint32
				}
			}
			p := d.document()
			p["previousResultId"] = full.ResultID
			d.Request("textDocument/semanticTokens/full/delta", p, &delta)
			require.Len(t, delta.Edits, 1)
			e := delta.Edits[0]
			moved := append(append(append([]uint32{}, full.Data[:e.Start]...), e.Data...), full.Data[e.Start+e.DeleteCount:]...)
			d.Request("textDocument/semanticTokens/full", d.document(), &fresh)
			assert.Equal(t, fresh.Data, moved)
			assert.Less(t, len(e.Data), 11, "only what changed")

			// Nothing changed since.
			p["previousResultId"] = fresh.ResultID
			d.Request("textDocument/semanticTokens/full/delta", p, &delta)
			assert.Empty(t, delta.Edits)
			// An id that nobody knows is answered in full.
			p["previousResultId"] = "none"
			d.Request("textDocument/semanticTokens/full/delta", p, &full)
			assert.Equal(t, fresh.Data, full.Data)

			p = d.here(text, "wire ‸W1")
			p["range"] = map[string]any{"start": d.place(text, "‸wire W1"), "end": d.place(text, "red‸\nwire W2")}
			d.Request("textDocument/semanticTokens/range", p, &full)
			assert.Equal(t, []string{"wire keyword", "W1 interface", "battery struct", "stud property", "to modifier", "S1 struct", "1 property", "red decorator"}, words(text, full.Data))
		})
	}
}

func TestHintsOnTheWire(t *testing.T) {
	dir := t.TempDir()
	c := fake.Start(t, fake.Options{Capabilities: strings.ReplaceAll(editor, "ENCODING", "utf-16"), Folders: []string{dir}, Remember: true})
	d := &desk{c, t, fake.URI(dir + "/van.pintle"), fake.URI(dir + "/parts.pintle"), "utf-16"}
	c.Open(d.parts, partsText)
	c.Open(d.van, vanText)
	type hint struct {
		Position  fake.Position
		Label     string
		TextEdits []textEdit
		Tooltip   struct{ Kind, Value string }
	}
	var list []hint
	p := d.document()
	p["range"] = map[string]any{"start": d.place(vanText, "‸use"), "end": d.place(vanText, "energised‸")}
	d.Request("textDocument/inlayHint", p, &list)
	labels := func() string {
		var out []string
		for _, h := range list {
			out = append(out, h.Label)
		}
		return strings.Join(out, "; ")
	}
	assert.Contains(t, labels(), "cross-section 1 mm2")
	assert.Contains(t, labels(), " A, ")
	for _, h := range list {
		assert.Equal(t, "markdown", h.Tooltip.Kind)
	}
	d.Notify("workspace/didChangeConfiguration", map[string]any{"settings": map[string]any{"pintle": map[string]any{
		"inlayHints": map[string]any{"currents": false, "drops": true, "defaults": false, "arguments": false, "deadBands": false},
	}}})
	d.Request("textDocument/inlayHint", p, &list)
	require.NotEmpty(t, list)
	d.Settle()
	for _, what := range []string{"inlayHint", "codeLens"} {
		assert.NotEmpty(t, d.Messages("workspace/"+what+"/refresh"), what)
	}
	for _, h := range list {
		assert.Regexp(t, `^[0-9.]+ [um]?V$`, h.Label)
	}
}

const driven = vanText + "drive start {\n    step: set key run, see lamp is lit\n    step: set key off, see lamp is lit\n}\n"

func TestLensesAndCommands(t *testing.T) {
	dir := t.TempDir()
	c := fake.Start(t, fake.Options{Capabilities: strings.ReplaceAll(editor, "ENCODING", "utf-16"), Folders: []string{dir}, Remember: true})
	d := &desk{c, t, fake.URI(dir + "/van.pintle"), fake.URI(dir + "/parts.pintle"), "utf-16"}
	c.Open(d.parts, partsText)
	c.Open(d.van, driven)

	type lens struct {
		Range   fake.Range
		Command *struct {
			Title, Command string
			Arguments      []json.RawMessage
		}
	}
	var raw []json.RawMessage
	d.Request("textDocument/codeLens", d.document(), &raw)
	titles := map[string]lens{}
	for _, r := range raw {
		var l lens
		require.NoError(t, json.Unmarshal(r, &l))
		if l.Command == nil {
			d.Request("codeLens/resolve", r, &l)
		}
		require.NotNil(t, l.Command)
		titles[d.within(driven, l.Range)+": "+l.Command.Title] = l
	}
	for _, want := range []string{"key: 3 references", "start: Run this drive"} {
		assert.Contains(t, titles, want)
	}

	// What a lens runs tells a person its result by a message, and a program as data.
	run := titles["start: Run this drive"].Command
	var outcome struct {
		Drive, Text string
		Runs        []struct {
			Steps    []struct{ Name string }
			Events   []struct{ Text string }
			Failures []struct {
				Line int
				Seen string
			}
		}
	}
	d.Request("workspace/executeCommand", map[string]any{"command": run.Command, "arguments": run.Arguments}, &outcome)
	assert.Equal(t, "start", outcome.Drive)
	require.Len(t, outcome.Runs, 1)
	assert.Len(t, outcome.Runs[0].Steps, 2)
	assert.NotEmpty(t, outcome.Runs[0].Events)
	require.Len(t, outcome.Runs[0].Failures, 1)
	assert.Contains(t, d.lineOf(driven, outcome.Runs[0].Failures[0].Line), "set key off")
	shown := c.Messages("window/showMessage")
	require.Len(t, shown, 1)
	assert.Contains(t, string(shown[0].Params), "start fails in step 2")

	execute := func(command string, args map[string]any, into any) error {
		return d.Try("workspace/executeCommand", map[string]any{"command": command, "arguments": []any{args}}, into)
	}
	require.NoError(t, execute("pintle.drive", map[string]any{"uri": d.van, "at": d.place(driven, "set key ‸off")}, &outcome))
	assert.Equal(t, "start", outcome.Drive)
	assert.Len(t, c.Messages("window/showMessage"), 1, "only who asks for it is told")

	var places struct {
		Locations []struct{ URI string }
		Text      string
	}
	require.NoError(t, execute("pintle.references", map[string]any{"uri": d.van, "at": d.place(driven, "setting k‸ey")}, &places))
	assert.Len(t, places.Locations, 3)
	assert.Equal(t, "3 references: van.pintle:8, van.pintle:19, van.pintle:20", places.Text)

	var faults struct {
		Faults []struct{ Text, Subject, Step string }
	}
	require.NoError(t, execute("pintle.faults", map[string]any{"uri": d.van, "at": d.place(driven, "fit K‸1")}, &faults))
	require.NotEmpty(t, faults.Faults)
	for _, f := range faults.Faults {
		assert.True(t, strings.HasPrefix(f.Subject, "K1."), f.Subject)
	}
	var table struct {
		Tables []struct {
			Faults []struct{ Faults []string }
		}
		Text string
	}
	require.NoError(t, execute("pintle.faultTable", map[string]any{"uri": d.van, "at": d.place(driven, "fit K‸1")}, &table))
	require.Len(t, table.Tables, 1)
	tried := 0
	for _, r := range table.Tables[0].Faults {
		tried += len(r.Faults)
	}
	assert.GreaterOrEqual(t, tried, len(faults.Faults), "with those that are alike")
	assert.Contains(t, table.Text, "single faults")
	assert.Contains(t, titles, "K1: "+plural(len(faults.Faults), "single fault"))

	for _, wrong := range []error{
		execute("pintle.nothing", map[string]any{"uri": d.van}, nil),
		execute("pintle.drive", map[string]any{"uri": d.van}, nil),
		execute("pintle.drive", map[string]any{"uri": d.van, "drive": "nowhere"}, nil),
		execute("pintle.drive", map[string]any{}, nil),
		execute("pintle.faults", map[string]any{"uri": d.van, "at": d.place(driven, "setting k‸ey")}, nil),
		execute("pintle.faultTable", map[string]any{"uri": d.van, "at": d.place(driven, "setting k‸ey")}, nil),
		d.Try("workspace/executeCommand", map[string]any{"command": "pintle.drive"}, nil),
	} {
		assert.Equal(t, rpc.InvalidParams, code(t, wrong))
	}
}

func plural(n int, what string) string {
	b, _ := json.Marshal(n)
	if n == 1 {
		return "1 " + what
	}
	return string(b) + " " + what + "s"
}

// lineOf is a line of a text, counted from 1.
func (d *desk) lineOf(text string, n int) string { return strings.Split(text, "\n")[n-1] }

func TestWillRenameFiles(t *testing.T) {
	d := sit(t, editor, "utf-16")
	var edit *workspaceEdit
	rename := func(from, to string) map[string]any {
		return map[string]any{"files": []any{map[string]any{"oldUri": from, "newUri": to}}}
	}
	d.Request("workspace/willRenameFiles", rename(d.parts, strings.Replace(d.parts, "parts.pintle", "lib/relay%20parts.pintle", 1)), &edit)
	require.NotNil(t, edit)
	require.Len(t, edit.DocumentChanges, 1)
	assert.Equal(t, d.van, edit.DocumentChanges[0].TextDocument.URI)
	assert.Equal(t, strings.Replace(vanText, "parts.pintle", "lib/relay parts.pintle", 1), d.applied(vanText, edit.DocumentChanges[0].Edits))

	edit = nil
	d.Request("workspace/willRenameFiles", rename(d.van, strings.Replace(d.van, "van", "lorry", 1)), &edit)
	assert.Nil(t, edit, "nothing uses it, and it stays where it is")
	d.Request("workspace/willRenameFiles", rename("untitled:a", "untitled:b"), &edit)
	assert.Nil(t, edit)
}
