package server_test

import (
	"encoding/json"
	"errors"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"pintle/checker/checktest/soak"
	"pintle/lsp/fake"
	"pintle/lsp/server"
	"pintle/lsp/server/rpc"
)

// everything are capabilities that make the server offer all that it has.
const everything = `{"general":{"positionEncodings":["utf-16"]},
	"workspace":{"workspaceEdit":{"documentChanges":true},"fileOperations":{"willRename":true},"diagnostics":{"refreshSupport":true}},
	"textDocument":{
		"diagnostic":{"relatedInformation":true,"dataSupport":true},
		"hover":{"contentFormat":["markdown","plaintext"]},
		"completion":{"completionItem":{"snippetSupport":true,"insertReplaceSupport":true,"documentationFormat":["markdown"]}},
		"signatureHelp":{"signatureInformation":{"documentationFormat":["markdown"],"parameterInformation":{"labelOffsetSupport":true}}},
		"definition":{"linkSupport":true},"rename":{"prepareSupport":true},
		"codeAction":{"codeActionLiteralSupport":{"codeActionKind":{"valueSet":[""]}},"dataSupport":true,"resolveSupport":{"properties":["edit"]}},
		"rangeFormatting":{"rangesSupport":true},
		"semanticTokens":{"requests":{"range":true,"full":{"delta":true}},"tokenTypes":[],"tokenModifiers":[],"formats":["relative"]},
		"documentSymbol":{"hierarchicalDocumentSymbolSupport":true},
		"documentLink":{"tooltipSupport":true}}}`

// asked is every request of the table about one place, but for those that are given what
// another one answered.
func asked(uri string, at fake.Position, lines int) map[string][]any {
	doc := map[string]any{"uri": uri}
	here := map[string]any{"textDocument": doc, "position": at}
	whole := fake.Range{End: fake.Position{Line: uint32(lines)}}
	spot := fake.Range{Start: at, End: at}
	options := map[string]any{"tabSize": 4, "insertSpaces": true}
	with := func(pairs ...any) map[string]any {
		m := map[string]any{"textDocument": doc}
		for i := 0; i < len(pairs); i += 2 {
			m[pairs[i].(string)] = pairs[i+1]
		}
		return m
	}
	out := map[string][]any{
		"textDocument/references":                {with("position", at, "context", map[string]any{"includeDeclaration": true})},
		"textDocument/rename":                    {with("position", at, "newName", "zz9"), with("position", at, "newName", "S1"), with("position", at, "newName", "\"\n")},
		"textDocument/codeAction":                {with("range", spot, "context", map[string]any{"diagnostics": []any{}, "triggerKind": 1}), with("range", whole, "context", map[string]any{"diagnostics": []any{}, "only": []string{"source"}})},
		"textDocument/formatting":                {with("options", options)},
		"textDocument/rangeFormatting":           {with("range", spot, "options", options)},
		"textDocument/rangesFormatting":          {with("ranges", []any{spot, whole}, "options", options)},
		"textDocument/onTypeFormatting":          {with("position", at, "ch", "\n", "options", options), with("position", at, "ch", "}", "options", options)},
		"textDocument/selectionRange":            {with("positions", []any{at})},
		"textDocument/inlayHint":                 {with("range", whole)},
		"textDocument/semanticTokens/range":      {with("range", spot)},
		"textDocument/colorPresentation":         {with("range", spot, "color", map[string]any{"red": 1, "green": 0.5, "blue": 0, "alpha": 1})},
		"textDocument/semanticTokens/full":       {with()},
		"textDocument/diagnostic":                {with()},
		"workspace/diagnostic":                   {map[string]any{"previousResultIds": []any{}}},
		"workspace/symbol":                       {map[string]any{"query": "k"}},
		"workspace/willRenameFiles":              {map[string]any{"files": []any{map[string]any{"oldUri": uri, "newUri": uri + "2.pintle"}}}},
		"workspace/executeCommand":               {},
		"workspace/textDocumentContent":          {map[string]any{"uri": "pintle-answer:/0/gone.txt"}},
		"textDocument/semanticTokens/full/delta": {with("previousResultId", "1")},
	}
	for _, c := range []string{"pintle.drive", "pintle.references", "pintle.faults", "pintle.faultTable", "pintle.ask", "pintle.table", "pintle.compare"} {
		out["workspace/executeCommand"] = append(out["workspace/executeCommand"],
			map[string]any{"command": c, "arguments": []any{map[string]any{"uri": uri, "at": at, "questions": []string{"key is run", "volts at feed"}}}})
	}
	for _, f := range server.Features() {
		if _, ok := out[f.Method]; !ok && !follows[f.Method] {
			out[f.Method] = []any{here}
		}
	}
	return out
}

// follows are the requests about something that another one answered.
var follows = map[string]bool{
	"completionItem/resolve": true, "codeAction/resolve": true, "codeLens/resolve": true,
	"callHierarchy/incomingCalls": true, "callHierarchy/outgoingCalls": true,
}

// askEverything asks all requests about a place. Whatever the text, each has a result or
// is refused: a fault of the server is none of the answers. It returns how many were asked.
func askEverything(t *testing.T, c *fake.Client, uri string, at fake.Position, lines int) int {
	t.Helper()
	n := 0
	ask := func(method string, params any) json.RawMessage {
		t.Helper()
		n++
		var result json.RawMessage
		err := c.Try(method, params, &result)
		refused := (*fake.ResponseError)(nil)
		if errors.As(err, &refused) {
			assert.NotEqual(t, rpc.InternalError, refused.Code, "%s at %v: %v", method, at, err)
		} else {
			assert.NoError(t, err, method)
		}
		return result
	}
	few := func(list json.RawMessage, method string, params func(json.RawMessage) any) {
		var items []json.RawMessage
		var within struct{ Items []json.RawMessage }
		if json.Unmarshal(list, &items) != nil && json.Unmarshal(list, &within) == nil {
			items = within.Items
		}
		for i := 0; i < len(items); i += 1 + len(items)/3 {
			ask(method, params(items[i]))
		}
	}
	itself := func(item json.RawMessage) any { return item }
	of := func(item json.RawMessage) any { return map[string]any{"item": item} }
	for method, all := range asked(uri, at, lines) {
		for _, params := range all {
			result := ask(method, params)
			switch method {
			case "textDocument/completion":
				few(result, "completionItem/resolve", itself)
			case "textDocument/codeAction":
				few(result, "codeAction/resolve", itself)
			case "textDocument/codeLens":
				few(result, "codeLens/resolve", itself)
			case "textDocument/prepareCallHierarchy":
				few(result, "callHierarchy/incomingCalls", of)
				few(result, "callHierarchy/outgoingCalls", of)
			}
		}
	}
	return n
}

// broken are the states of a file while somebody writes it that are in no list of
// mutations: a `use` of a file that is not there, of itself, of a folder, of nothing.
var broken = []string{
	"use \"missing.pintle\"\nnode a", "use \"missing.pintle\"\nuse \"missing.pintle\"\nnode a", "use \"van.pintle\"\nnode a", "use \"\"\nnode a", "use \".\"\nnode a",
	"use \"..\"\nnode a", "use \"/\"\nnode a", "use \"par", "use ", "use \"parts.pintle\" as\nnode a", "use \"parts.pintle\" as x\nfit K1: x.", "use \"missing.pintle\" as x\nfit K1: x.Relay",
	"use \"a\x00b\"\nnode a", "use \"%00\"\nnode a", "use \"file:///etc\"\nnode a", "use \"untitled:x\"\nnode a", "", "\ufeff", "{", "}", "\"", "#", "##", "\x00",
}

// mutant changes a text as typing, cutting and pasting do.
func mutant(r *rand.Rand, text string) string {
	for range 1 + r.IntN(3) {
		at := r.IntN(len(text) + 1)
		lines := strings.SplitAfter(text, "\n")
		i := r.IntN(len(lines))
		switch r.IntN(8) {
		case 0: // cut off
			text = text[:at]
		case 1: // the end of a line is not there yet
			line := strings.TrimSuffix(lines[i], "\n")
			lines[i] = line[:r.IntN(len(line)+1)] + "\n"
			text = strings.Join(lines, "")
		case 2: // a line is gone
			text = strings.Join(append(lines[:i:i], lines[i+1:]...), "")
		case 3: // a line is there twice, or somewhere else
			j := r.IntN(len(lines))
			text = strings.Join(append(append(lines[:j:j], lines[i]), lines[j:]...), "")
		case 4: // something is typed
			odd := []string{"{", "}", "(", ")", "\"", ":", ".", ",", "#", " not ", "when ", "use \"", "part P {\n", "\x00", "\ufeff", "🔧", "\r", "999999999999 ", "-", "/"}
			text = text[:at] + odd[r.IntN(len(odd))] + text[at:]
		case 5: // some characters are gone
			text = text[:at] + text[min(len(text), at+1+r.IntN(12)):]
		case 6: // a word stands for another
			words := strings.Fields(text)
			if len(words) > 1 {
				text = strings.Replace(text, words[r.IntN(len(words))], words[r.IntN(len(words))], 1)
			}
		case 7: // a name has other letters
			text = strings.Replace(text, "K1", "K²", 1+r.IntN(3))
		}
	}
	return text
}

// TestEveryRequestOnHalfWrittenTexts asks everything about texts in the middle of being
// written, before they were checked and after.
func TestEveryRequestOnHalfWrittenTexts(t *testing.T) {
	dir := t.TempDir()
	example, err := os.ReadFile("../../examples/charge_lamp.pintle")
	require.NoError(t, err)
	texts := map[string]string{"van.pintle": vanText, "parts.pintle": partsText, "charge.pintle": string(example)}
	for name, text := range texts {
		require.NoError(t, os.WriteFile(filepath.Join(dir, name), []byte(text), 0o600))
	}
	require.NoError(t, os.CopyFS(filepath.Join(dir, "parts"), os.DirFS("../../examples/parts")))
	c := fake.Start(t, fake.Options{Capabilities: everything, Folders: []string{dir}})
	version := 1
	uris := map[string]string{}
	for name, text := range texts {
		uris[name] = fake.URI(filepath.Join(dir, name))
		c.Open(uris[name], text)
	}
	requests := 0
	try := func(name, text string, r *rand.Rand) {
		version++
		c.Edit(uris[name], version, fake.Change{Text: strings.ToValidUTF8(text, "\uFFFD")})
		if version%2 == 0 {
			c.Settle()
		}
		lines := strings.Split(text, "\n")
		line := r.IntN(len(lines))
		at := fake.Position{Line: uint32(line), Character: uint32(r.IntN(len(lines[line]) + 1))}
		requests += askEverything(t, c, uris[name], at, len(lines))
		if t.Failed() {
			t.Fatalf("the text was:\n%s", text)
		}
	}
	r := rand.New(rand.NewPCG(uint64(soak.Seed()), 71))
	for _, text := range broken {
		for range 2 { // before the check, and after
			try("van.pintle", text, r)
		}
	}
	for range soak.Times(12) {
		for _, name := range []string{"van.pintle", "parts.pintle", "charge.pintle"} {
			try(name, mutant(r, texts[name]), r)
		}
		for name, text := range texts {
			version++
			c.Edit(uris[name], version, fake.Change{Text: text})
		}
	}
	t.Logf("%d requests about %d texts", requests, version)
}
