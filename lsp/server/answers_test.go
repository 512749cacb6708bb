package server_test

import (
	"encoding/json"
	"os"
	"runtime"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"go.lsp.dev/uri"

	"pintle/lsp/fake"
	"pintle/lsp/server"
	"pintle/lsp/server/rpc"
)

// asker is a client that was asked to show documents, each by its address.
type asker struct {
	*desk
	shown chan string
}

// askers opens a van in a client that shows documents, with more of what it can do.
func askers(t *testing.T, window, workspace string, shows bool, options server.Options) *asker {
	a := &asker{shown: make(chan string, 100)}
	dir := t.TempDir()
	capabilities := strings.ReplaceAll(editor, "ENCODING", "utf-16")
	capabilities = `{"window":` + window + "," + strings.Replace(capabilities[1:], `"workspace":{`, `"workspace":{`+workspace, 1)
	c := fake.Start(t, fake.Options{
		Capabilities: capabilities, Folders: []string{dir}, Remember: true, Server: options,
		Answers: map[string]func(json.RawMessage) any{"window/showDocument": func(raw json.RawMessage) any {
			var p struct{ URI string }
			assert.NoError(t, json.Unmarshal(raw, &p))
			a.shown <- p.URI
			return map[string]any{"success": shows}
		}},
	})
	a.desk = &desk{c, t, fake.URI(dir + "/van.pintle"), fake.URI(dir + "/parts.pintle"), "utf-16"}
	c.Open(a.parts, partsText)
	c.Open(a.van, driven)
	return a
}

func (a *asker) ask(questions ...string) (text string) {
	a.t.Helper()
	var out struct {
		Answers struct {
			Answers []struct{ Question string }
		}
		Text string
	}
	a.Request("workspace/executeCommand", map[string]any{"command": "pintle.ask", "arguments": []any{
		map[string]any{"uri": a.van, "questions": questions, "show": true},
	}}, &out)
	require.Len(a.t, out.Answers.Answers, len(questions))
	assert.Equal(a.t, questions[0], out.Answers.Answers[0].Question)
	return out.Text
}

// TestAnswersAsDocuments: a client that reads documents of a server is shown an answer as one.
// Asked again about a text that changed, the document has the same address and another text.
func TestAnswersAsDocuments(t *testing.T) {
	a := askers(t, `{"showDocument":{"support":true}}`, `"textDocumentContent":{},`, true, server.Options{})
	content := func(uri string) string {
		var out struct{ Text string }
		a.Request("workspace/textDocumentContent", map[string]any{"uri": uri}, &out)
		return out.Text
	}
	first := a.ask("lamp is lit and key is off")
	at := <-a.shown
	assert.True(t, strings.HasPrefix(at, "pintle-answer:/"), at)
	assert.True(t, strings.HasSuffix(at, "/ask-lamp-is-lit-and-key-is-off.txt"), at)
	assert.Equal(t, first, content(at))
	assert.Contains(t, first, "no reachable state has: lamp is lit and key is off")

	a.change(2, strings.Replace(driven, "made when key is run", "made when key is off", 1))
	second := a.ask("lamp is lit and key is off")
	assert.Equal(t, at, <-a.shown)
	assert.Equal(t, second, content(at))
	assert.Contains(t, second, "yes", "unsaved text is what is asked about")
	assert.Len(t, a.Messages("workspace/textDocumentContent/refresh"), 1)
	assert.Empty(t, a.Messages("window/showMessage"))

	a.ask("when lamp is lit")
	assert.NotEqual(t, at, <-a.shown)
	assert.Equal(t, rpc.InvalidParams, code(t, a.Try("workspace/textDocumentContent", map[string]any{"uri": "pintle-answer:/0/gone.txt"}, nil)))
}

// TestAnswersAsFiles: a client that shows files only is shown one, which only its owner can read.
func TestAnswersAsFiles(t *testing.T) {
	a := askers(t, `{"showDocument":{"support":true}}`, "", true, server.Options{AnswerDir: t.TempDir()})
	text := a.ask("when lamp is lit")
	at := <-a.shown
	file := uri.URI(at).FsPath()
	written, err := os.ReadFile(file)
	require.NoError(t, err)
	assert.Equal(t, text, string(written))
	if runtime.GOOS != "windows" {
		info, err := os.Stat(file)
		require.NoError(t, err)
		assert.Equal(t, os.FileMode(0o600), info.Mode().Perm())
	}
	assert.Error(t, a.Try("workspace/textDocumentContent", map[string]any{"uri": at}, nil), "it is no document of the server")
}

// TestAnswersAsMessages: what a client can't or won't show as a document it is told.
func TestAnswersAsMessages(t *testing.T) {
	for _, c := range []struct {
		name, window string
		dir          string
		asked        bool
	}{
		{name: "no documents", window: `{}`},
		{name: "refused", window: `{"showDocument":{"support":true}}`, dir: t.TempDir(), asked: true},
		{name: "nowhere to write", window: `{"showDocument":{"support":true}}`},
	} {
		t.Run(c.name, func(t *testing.T) {
			a := askers(t, c.window, "", false, server.Options{AnswerDir: c.dir})
			text := a.ask("when lamp is lit")
			if c.asked {
				<-a.shown
			}
			told := func() bool { return len(a.Messages("window/showMessage")) == 1 }
			require.NoError(t, a.Until(t.Context(), told))
			assert.Contains(t, string(a.Messages("window/showMessage")[0].Params), "when lamp is lit: answered")
			logged, err := json.Marshal(text)
			require.NoError(t, err)
			assert.Contains(t, string(a.Messages("window/logMessage")[0].Params), string(logged))
		})
	}
}

// TestQuestionsOffered: what is selected can be asked about, and so can a thing that is named.
func TestQuestionsOffered(t *testing.T) {
	a := askers(t, `{"showDocument":{"support":true}}`, `"textDocumentContent":{},`, true, server.Options{})
	offers := func(from, to string) []string {
		p := a.document()
		p["range"] = map[string]any{"start": a.place(driven, from), "end": a.place(driven, to)}
		p["context"] = map[string]any{"diagnostics": []any{}, "only": []string{"pintle.ask"}}
		var list []struct {
			Title   string
			Kind    string
			Command struct {
				Command   string
				Arguments []struct{ Questions []string }
			}
		}
		a.Request("textDocument/codeAction", p, &list)
		var out []string
		for _, x := range list {
			assert.Equal(t, "pintle.ask", x.Kind)
			assert.Equal(t, "pintle.ask", x.Command.Command)
			assert.NoError(t, a.Try("workspace/executeCommand", map[string]any{"command": x.Command.Command, "arguments": []any{
				map[string]any{"uri": a.van, "questions": x.Command.Arguments[0].Questions},
			}}, nil))
			out = append(out, x.Title+": "+strings.Join(x.Command.Arguments[0].Questions, ", "))
		}
		return out
	}
	assert.Equal(t, []string{"Ask whether this can be: lamp is lit", "Ask when this is so: when lamp is lit"}, offers("see ‸lamp is lit", "see lamp is lit‸"))
	assert.Equal(t, []string{"Ask for the range of the current through W1: current through W1"}, offers("wire W‸1", "wire W‸1"))
	assert.Empty(t, offers("see lamp ‸is lit", "see lamp is l‸it"), "half a condition")
	assert.Empty(t, offers("setting k‸ey", "setting k‸ey"), "nothing to ask of a setting alone")
}

// TestTablesAndComparisons: the answers are those of the text in the editor, and the title offers
// them.
func TestTablesAndComparisons(t *testing.T) {
	a := askers(t, `{"showDocument":{"support":true}}`, `"textDocumentContent":{},`, true, server.Options{})
	path := uri.URI(a.van).FsPath()
	require.NoError(t, os.WriteFile(strings.TrimSuffix(path, "van.pintle")+"parts.pintle", []byte(partsText), 0o600))
	require.NoError(t, os.WriteFile(path, []byte("title \"Van\"\n"+driven), 0o600))
	text := "title \"Van\"\n" + strings.Replace(driven, "made when key is run", "made when key is off", 1)
	a.change(2, text)
	p := a.document()
	at := a.place(text, "tit\u2038le")
	p["range"] = map[string]any{"start": at, "end": at}
	p["context"] = map[string]any{"diagnostics": []any{}, "only": []string{"pintle.ask"}}
	var list []struct {
		Title   string
		Command struct {
			Command   string
			Arguments []json.RawMessage
		}
	}
	a.Request("textDocument/codeAction", p, &list)
	require.Len(t, list, 3)
	run := func(i int) (data map[string]any) {
		a.Request("workspace/executeCommand", map[string]any{"command": list[i].Command.Command, "arguments": list[i].Command.Arguments}, &data)
		return data
	}
	tables := run(0)
	assert.Contains(t, <-a.shown, "/tables-of-van.pintle.txt")
	assert.Contains(t, tables["text"], "key")
	assert.NotEmpty(t, tables["tables"])
	compared := run(1)
	assert.Contains(t, <-a.shown, "/van.pintle-and-the-saved-file.txt")
	assert.Contains(t, compared["text"], "different in behaviour")
	assert.NotEmpty(t, compared["comparison"])
	err := a.Try("workspace/executeCommand", map[string]any{"command": list[2].Command.Command, "arguments": list[2].Command.Arguments}, nil)
	assert.Error(t, err, "the folder is in no repository")

	require.NoError(t, os.WriteFile(path, []byte(text), 0o600))
	same := run(1)
	assert.Contains(t, same["text"], "the same in behaviour")
}
