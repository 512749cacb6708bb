package server_test

import (
	"encoding/json"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"unicode"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"pintle/lsp/fake"
)

// hostileText has links, images, HTML and what steers a terminal in every place of a text
// where somebody can write what he likes: titles, comments that document, comments of parts
// and of what they are made with, texts of symptoms, reasons, file names.
const hostileText = "title \"![x](https://tracker.invalid/p.png) \u202e\x7f\"\n" +
	"use \"no ![u](https://tracker.invalid/u.png).pintle\"\n" +
	"## Doc with `![x](https://tracker.invalid/p.png)`` end <img src=x>\n" +
	"## [run](command:workbench.action.quit) https://tracker.invalid www.tracker.invalid\n" +
	"## ```\n## ![f](https://tracker.invalid/f.png)\n## ~~~\n" +
	"node a\n" +
	"## para ![y](command:x)`` [z](command:workbench.action.quit)\n" +
	"part P: {\n" +
	"    ## inner ![z](https://tracker.invalid/item.png) [run](command:workbench.action.quit)\n" +
	"    takes r: resistance, 5 ohm unless said\n" +
	"    pin 1, 2\n" +
	"    ## `` ` [w](command:x)\n" +
	"    resistor wire: 1 to 2, r\n" +
	"}\n" +
	"## ![k](https://tracker.invalid/k.png)\n" +
	"fit K: P(r 5 ohm)\n" +
	"ground block\n" +
	"## ![s](https://tracker.invalid/s.png) | a | \n" +
	"setting key: off, run\n" +
	"## # heading\n## - list ![l](https://tracker.invalid/l.png)\n" +
	"supply battery: 12 V, from block to stud\n" +
	"wire W1: battery.stud to K.1, red\n" +
	"wire W2: K.2 to block, brown\n" +
	"symptom dark \"![d](https://tracker.invalid/d.png) \u202e\": key is run\n" +
	"accept unused-name: on a, because \"[r](command:x) \u009b\"\n"

// markdownLive is what would act in Markdown, in a text out of which code and escaped
// characters were taken.
var markdownLive = regexp.MustCompile(`!?\[[^\]]*\]\(|<[a-zA-Z/!]|https?://|www\.`)

func markdownWithoutCode(s string) string {
	s = regexp.MustCompile("(?ms)^(```+)[a-z]*\n.*?\n```+$").ReplaceAllString(s, "")
	s = regexp.MustCompile(`\\.`).ReplaceAllString(s, "x")
	for _, fence := range []string{"```", "``", "`"} {
		s = regexp.MustCompile("(^|[^`])"+fence+"[^`\n](?:[^\n]*?[^`\n])?"+fence+"($|[^`])").ReplaceAllString(s, "$1$2")
	}
	return s
}

// TestNothingLiveIsShown asks everything about hostile texts. No answer in Markdown acts,
// and no text in plain words steers anything.
func TestNothingLiveIsShown(t *testing.T) {
	dir := t.TempDir()
	file := filepath.Join(dir, "hostile.pintle")
	require.NoError(t, os.WriteFile(file, []byte(hostileText), 0o600))
	c := fake.Start(t, fake.Options{Capabilities: everything, Folders: []string{dir}})
	uri := fake.URI(file)
	c.Open(uri, hostileText)
	hovers, markdown := 0, 0
	var look func(what string, v any)
	look = func(what string, v any) {
		switch v := v.(type) {
		case []any:
			for _, x := range v {
				look(what, x)
			}
		case map[string]any:
			if v["kind"] == "markdown" {
				markdown++
				text := v["value"].(string)
				assert.NotRegexp(t, markdownLive, markdownWithoutCode(text), "%s: %s", what, text)
			}
			for key, x := range v {
				switch key {
				case "newText", "insertText", "arguments", "data", "edit", "edits", "textEdit", "steps", "runs":
					continue // what is put into a text, or comes back, is exact
				}
				look(what, x)
			}
		case string:
			for _, r := range v {
				if r != '\n' && r != '\t' && (unicode.IsControl(r) || unicode.In(r, unicode.Cf)) {
					t.Errorf("%s shows %U in %q", what, r, v)
				}
			}
		}
	}
	lines := strings.Split(hostileText, "\n")
	for n, line := range lines {
		for _, word := range regexp.MustCompile(`[\pL\d_]+`).FindAllStringIndex(line, 3) {
			at := fake.Position{Line: uint32(n), Character: uint32(len([]rune(line[:word[0]])))}
			for method, all := range asked(uri, at, len(lines)) {
				switch method {
				case "textDocument/hover", "textDocument/completion", "textDocument/signatureHelp":
				case "textDocument/formatting", "textDocument/rangesFormatting", "textDocument/rangeFormatting", "textDocument/onTypeFormatting", "textDocument/rename":
					continue
				default:
					if word[0] > 0 {
						continue // they are about the whole text, or a line
					}
				}
				for _, params := range all {
					var raw json.RawMessage
					if err := c.Try(method, params, &raw); err != nil {
						look(method+" refused", err.Error())
						continue
					}
					var v any
					require.NoError(t, json.Unmarshal(raw, &v))
					if method == "textDocument/hover" && v != nil {
						hovers++
					}
					look(method, v)
				}
			}
		}
	}
	c.Settle()
	for _, p := range c.AllPublished() {
		for _, d := range p.Diagnostics {
			look("diagnostic", d.Message)
		}
	}
	t.Logf("%d hovers, %d texts in Markdown", hovers, markdown)
	assert.Greater(t, hovers, 12)
}
