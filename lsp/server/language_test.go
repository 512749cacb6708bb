package server_test

import (
	"encoding/json"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"pintle/lsp/fake"
	"pintle/lsp/server/rpc"
)

// The files of these tests: a van that fits parts of another file. The astral character
// in front of names makes every count of columns another one.
const (
	partsText = `## A relay 🔧.
part Relay {
    takes resistance: ohm, 85 ohm unless said
    pin 30, 85, 86, 87
    coil winding: 85 to 86, resistance, pulls in at 8 V, drops out at 2 V
    contact main: 30 to 87, make, by winding
    shows winding, main
}
`
	vanText = `use "parts.pintle"
setting key: off, run
ground block
supply battery: 12 V, from block to stud
fit K1: Relay(resistance 90 ohm)
fit S1: {
    pin 1, 2
    contact blade: 1 to 2, make, made when key is run
}
load lamp: out to block, 21 W at 12 V, lit from 60 %
node out
wire W1: battery.stud to S1.1, red
wire W2: S1.2 to K1.86, red
wire W3: K1.85 to block, brown
wire W4: battery.stud to K1.30, red
wire W5: K1.87 to out, red
symptom dark "dark 🔧": not lamp is lit and K1.winding is energised
`
)

const rich = `{"general":{"positionEncodings":["ENCODING"]},
	"workspace":{"workspaceEdit":{"documentChanges":true}},
	"textDocument":{
		"hover":{"contentFormat":["markdown","plaintext"]},
		"completion":{"completionItem":{"snippetSupport":true,"insertReplaceSupport":true,"insertTextModeSupport":{"valueSet":[1,2]},"documentationFormat":["markdown"]}},
		"signatureHelp":{"signatureInformation":{"documentationFormat":["markdown"],"parameterInformation":{"labelOffsetSupport":true}}},
		"definition":{"linkSupport":true},"declaration":{"linkSupport":true},"typeDefinition":{"linkSupport":true},"implementation":{"linkSupport":true},
		"rename":{"prepareSupport":true},
		"documentSymbol":{"hierarchicalDocumentSymbolSupport":true},
		"documentLink":{"tooltipSupport":true}}}`

// desk is a client with the van open.
type desk struct {
	*fake.Client
	t        testing.TB
	van      string // its URI
	parts    string
	encoding string
}

func sit(t *testing.T, capabilities, encoding string) *desk {
	t.Helper()
	dir := t.TempDir()
	require.NoError(t, os.WriteFile(filepath.Join(dir, "parts.pintle"), []byte(partsText), 0o644))
	require.NoError(t, os.WriteFile(filepath.Join(dir, "van.pintle"), []byte(vanText), 0o644))
	c := fake.Start(t, fake.Options{Capabilities: strings.ReplaceAll(capabilities, "ENCODING", encoding), Folders: []string{dir}})
	d := &desk{c, t, fake.URI(filepath.Join(dir, "van.pintle")), fake.URI(filepath.Join(dir, "parts.pintle")), encoding}
	c.Open(d.van, vanText)
	return d
}

// place is the position of the first mark ‸ in a piece of a text.
func (d *desk) place(text, marked string) map[string]any {
	d.t.Helper()
	before, after, ok := strings.Cut(marked, "‸")
	require.True(d.t, ok)
	at := strings.Index(text, before+after)
	require.GreaterOrEqual(d.t, at, 0, marked)
	at += len(before)
	line := strings.Count(text[:at], "\n")
	column := text[strings.LastIndexByte(text[:at], '\n')+1 : at]
	n := 0
	for _, r := range column {
		switch {
		case d.encoding == "utf-8":
			n += len(string(r))
		case d.encoding == "utf-16" && r > 0xFFFF:
			n += 2
		default:
			n++
		}
	}
	return map[string]any{"line": line, "character": n}
}

func (d *desk) at(marked string) map[string]any {
	d.t.Helper()
	return map[string]any{"textDocument": map[string]any{"uri": d.van}, "position": d.place(vanText, marked)}
}

// within takes what a range covers out of a text.
func (d *desk) within(text string, r fake.Range) string {
	d.t.Helper()
	cut := func(p fake.Position) int {
		lines := strings.SplitAfter(text, "\n")
		off := len(strings.Join(lines[:p.Line], ""))
		n := 0
		for i, c := range lines[p.Line] {
			if n >= int(p.Character) {
				return off + i
			}
			switch {
			case d.encoding == "utf-8":
				n += len(string(c))
			case d.encoding == "utf-16" && c > 0xFFFF:
				n += 2
			default:
				n++
			}
		}
		return off + len(lines[p.Line])
	}
	return text[cut(r.Start):cut(r.End)]
}

func TestLanguageInAllEncodings(t *testing.T) {
	for _, encoding := range []string{"utf-8", "utf-16", "utf-32"} {
		t.Run(encoding, func(t *testing.T) {
			d := sit(t, rich, encoding)

			var hover struct {
				Contents struct{ Kind, Value string }
				Range    fake.Range
			}
			d.Request("textDocument/hover", d.at("lamp is lit and K1.wind‸ing"), &hover)
			assert.Equal(t, "markdown", hover.Contents.Kind)
			assert.Contains(t, hover.Contents.Value, "Is energised when\n\n```pintle\nkey is run\n```")
			assert.Equal(t, "winding", d.within(vanText, hover.Range))

			var links []struct {
				OriginSelectionRange, TargetRange, TargetSelectionRange fake.Range
				TargetURI                                               string
			}
			d.Request("textDocument/definition", d.at("lamp is lit and K1.wind‸ing"), &links)
			require.Len(t, links, 1)
			assert.Equal(t, d.parts, links[0].TargetURI)
			assert.Equal(t, "winding", d.within(partsText, links[0].TargetSelectionRange))
			assert.Contains(t, d.within(partsText, links[0].TargetRange), "coil winding: 85")
			assert.Equal(t, "winding", d.within(vanText, links[0].OriginSelectionRange))
			for method, want := range map[string]string{"declaration": "winding", "typeDefinition": "Relay"} {
				d.Request("textDocument/"+method, d.at("lamp is lit and K1.wind‸ing"), &links)
				require.Len(t, links, 1, method)
				assert.Equal(t, want, d.within(partsText, links[0].TargetSelectionRange), method)
			}
			d.Request("textDocument/implementation", d.at("K1: Re‸lay"), &links)
			require.Len(t, links, 1)
			assert.Equal(t, "K1", d.within(vanText, links[0].TargetSelectionRange))

			var places []struct {
				URI   string
				Range fake.Range
			}
			params := d.at("fit K‸1")
			params["context"] = map[string]any{"includeDeclaration": true}
			d.Request("textDocument/references", params, &places)
			assert.Len(t, places, 6)
			for _, p := range places {
				assert.Equal(t, "K1", d.within(vanText, p.Range))
			}

			var marks []struct {
				Range fake.Range
				Kind  int
			}
			d.Request("textDocument/documentHighlight", d.at("load la‸mp"), &marks)
			require.Len(t, marks, 2)
			assert.Equal(t, []int{3, 2}, []int{marks[0].Kind, marks[1].Kind})

			var edit struct {
				DocumentChanges []struct {
					TextDocument struct {
						URI     string
						Version *int
					}
					Edits []struct {
						Range   fake.Range
						NewText string
					}
				}
			}
			params = d.at("lamp is lit and K1.wind‸ing")
			params["newName"] = "solenoid"
			d.Request("textDocument/rename", params, &edit)
			require.Len(t, edit.DocumentChanges, 2)
			assert.Nil(t, edit.DocumentChanges[0].TextDocument.Version, "not open")
			assert.NotNil(t, edit.DocumentChanges[1].TextDocument.Version)
			assert.Len(t, edit.DocumentChanges[0].Edits, 3)
			require.Len(t, edit.DocumentChanges[1].Edits, 1)
			assert.Equal(t, "winding", d.within(vanText, edit.DocumentChanges[1].Edits[0].Range))

			params["newName"] = "main"
			err := d.Try("textDocument/rename", params, nil)
			assert.Equal(t, rpc.RequestFailed, code(t, err))
			assert.Contains(t, err.Error(), "there is a contact `main` already")
			var prepared struct {
				Range       fake.Range
				Placeholder string
			}
			d.Request("textDocument/prepareRename", d.at("symptom da‸rk"), &prepared)
			assert.Equal(t, "dark", prepared.Placeholder)
			assert.Equal(t, rpc.RequestFailed, code(t, d.Try("textDocument/prepareRename", d.at("12 ‸V"), nil)))

			var link []struct {
				Range           fake.Range
				Target, Tooltip string
			}
			d.Request("textDocument/documentLink", d.at("‸use"), &link)
			require.Len(t, link, 1)
			assert.Equal(t, d.parts, link[0].Target)
			assert.Equal(t, "parts.pintle", d.within(vanText, link[0].Range))
		})
	}
}

func TestCompletionOnTheWire(t *testing.T) {
	d := sit(t, rich, "utf-16")
	text := vanText + "coil c: K1.\n"
	d.Notify("textDocument/didChange", map[string]any{
		"textDocument":   map[string]any{"uri": d.van, "version": 2},
		"contentChanges": []any{map[string]any{"text": text}},
	})
	type item struct {
		Label            string
		InsertTextFormat int
		InsertTextMode   int
		TextEdit         struct {
			NewText         string
			Insert, Replace *fake.Range
			Range           *fake.Range
		}
		Documentation struct{ Kind, Value string }
		Data          json.RawMessage
	}
	var list struct {
		IsIncomplete bool
		Items        []json.RawMessage
	}
	ask := func(marked string) []item {
		params := map[string]any{"textDocument": map[string]any{"uri": d.van}, "position": d.place(text, marked)}
		d.Request("textDocument/completion", params, &list)
		var out []item
		for _, raw := range list.Items {
			var it item
			require.NoError(t, json.Unmarshal(raw, &it))
			out = append(out, it)
		}
		return out
	}
	pins := ask("coil c: K1.‸\n")
	require.NotEmpty(t, pins)
	assert.Equal(t, "30", pins[0].Label)
	require.NotNil(t, pins[0].TextEdit.Insert)
	require.NotNil(t, pins[0].TextEdit.Replace)

	var resolved item
	d.Request("completionItem/resolve", list.Items[0], &resolved)
	assert.Equal(t, "markdown", resolved.Documentation.Kind)
	assert.Contains(t, resolved.Documentation.Value, "pin 30, 85, 86, 87")

	text += "\n"
	d.Notify("textDocument/didChange", map[string]any{
		"textDocument":   map[string]any{"uri": d.van, "version": 3},
		"contentChanges": []any{map[string]any{"text": text}},
	})
	var snippet *item
	for _, it := range ask("coil c: K1.\n‸\n") {
		if it.Label == "modes" {
			snippet = &it
		}
	}
	require.NotNil(t, snippet)
	assert.Equal(t, 2, snippet.InsertTextFormat)
	assert.Equal(t, 2, snippet.InsertTextMode)
	assert.Contains(t, snippet.TextEdit.NewText, "$0")

	var help struct {
		Signatures []struct {
			Label      string
			Parameters []struct{ Label [2]int }
		}
		ActiveParameter int
	}
	d.Request("textDocument/signatureHelp", d.at("Relay(resistance ‸90"), &help)
	require.Len(t, help.Signatures, 1)
	assert.Equal(t, "Relay(resistance: ohm)", help.Signatures[0].Label)
	assert.Equal(t, [2]int{6, 21}, help.Signatures[0].Parameters[0].Label)
}

func TestSymbolsOnTheWire(t *testing.T) {
	d := sit(t, rich, "utf-16")
	var tree []struct {
		Name                  string
		Range, SelectionRange fake.Range
		Children              []struct{ Name string }
	}
	document := map[string]any{"textDocument": map[string]any{"uri": d.van}}
	d.Request("textDocument/documentSymbol", document, &tree)
	require.Greater(t, len(tree), 10)
	assert.Equal(t, "parts.pintle", tree[0].Name)
	assert.Equal(t, "dark", d.within(vanText, tree[len(tree)-1].SelectionRange))

	var found []struct {
		Name, ContainerName string
		Location            struct {
			URI   string
			Range fake.Range
		}
	}
	d.Request("workspace/symbol", map[string]any{"query": "wind"}, &found)
	require.Len(t, found, 1)
	assert.Equal(t, "Relay", found[0].ContainerName)
	assert.Equal(t, d.parts, found[0].Location.URI)

	flat := sit(t, `{}`, "utf-16")
	var infos []struct {
		Name, ContainerName string
		Location            struct{ URI string }
	}
	document = map[string]any{"textDocument": map[string]any{"uri": flat.van}}
	flat.Request("textDocument/documentSymbol", document, &infos)
	require.NotEmpty(t, infos)
	assert.Equal(t, flat.van, infos[0].Location.URI)
}

func TestCurrentOnTheWire(t *testing.T) {
	d := sit(t, rich, "utf-16")
	var items []json.RawMessage
	d.Request("textDocument/prepareCallHierarchy", d.at("load la‸mp"), &items)
	require.Len(t, items, 1)
	way := func(method, side string) []string {
		var names []string
		next := items[0]
		for range 20 {
			var calls []map[string]json.RawMessage
			d.Request("callHierarchy/"+method, map[string]any{"item": next}, &calls)
			if len(calls) == 0 {
				return names
			}
			next = calls[0][side]
			var it struct{ Name string }
			require.NoError(t, json.Unmarshal(next, &it))
			names = append(names, it.Name)
		}
		t.Fatal("the current runs in a ring")
		return nil
	}
	assert.Equal(t, []string{"W5", "K1.main", "W4", "battery"}, way("incomingCalls", "from"))
	assert.Equal(t, []string{"block"}, way("outgoingCalls", "to"))
}

// TestPoorClient has no capabilities at all: it gets plain text, plain locations, plain
// edits and no snippet.
func TestPoorClient(t *testing.T) {
	d := sit(t, `{}`, "utf-16")
	var hover struct{ Contents struct{ Kind, Value string } }
	d.Request("textDocument/hover", d.at("fit K‸1"), &hover)
	assert.Equal(t, "plaintext", hover.Contents.Kind)
	assert.NotContains(t, hover.Contents.Value, "`")
	var places []struct{ URI string }
	d.Request("textDocument/definition", d.at("K1: Re‸lay"), &places)
	require.Len(t, places, 1)
	assert.Equal(t, d.parts, places[0].URI)
	var edit struct {
		Changes map[string][]struct{ NewText string }
	}
	params := d.at("fit K‸1")
	params["newName"] = "K2"
	d.Request("textDocument/rename", params, &edit)
	assert.Len(t, edit.Changes[d.van], 6)
	var list struct {
		Items []struct {
			InsertTextFormat int
			TextEdit         struct{ Range *fake.Range }
		}
	}
	d.Request("textDocument/completion", d.at("wire W1: ‸battery"), &list)
	require.NotEmpty(t, list.Items)
	for _, it := range list.Items {
		assert.NotEqual(t, 2, it.InsertTextFormat)
		assert.NotNil(t, it.TextEdit.Range)
	}
	var nothing any
	d.Request("textDocument/hover", d.at("resistance 90 ohm)‸\n"), &nothing)
	d.Request("textDocument/signatureHelp", d.at("ground blo‸ck"), &nothing)
	assert.Nil(t, nothing)
}
