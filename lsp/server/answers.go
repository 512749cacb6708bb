package server

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"hash/fnv"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync"

	"go.lsp.dev/protocol"
	"go.lsp.dev/uri"

	"pintle/checker/run/files"
	"pintle/lang/escape"
	"pintle/lsp/server/rpc"
)

// answerScheme is that of documents that only the server has: answers to what a person asked.
const answerScheme = "pintle-answer"

// mostAnswers bounds how many are kept; an older one can no longer be read again.
const mostAnswers = 64

// answers keeps the answers of commands, so that a client can show each as a document beside
// the text that it is about. The same question about the same document has the same address: asked
// again, its document changes.
type answers struct {
	dir string // for clients that show only files; "": none

	mu    sync.Mutex
	texts map[uri.URI]string
	order []uri.URI // the oldest first
}

func newAnswers(dir string) *answers { return &answers{dir: dir, texts: map[uri.URI]string{}} }

// put keeps an answer about a document. again reports whether its address was there before.
func (a *answers) put(about uri.URI, title, text string) (at uri.URI, again bool) {
	at = uri.URI(answerScheme + ":/" + answerName(about, title))
	a.mu.Lock()
	defer a.mu.Unlock()
	if _, again = a.texts[at]; again {
		a.order = slices.DeleteFunc(a.order, func(u uri.URI) bool { return u == at })
	} else if len(a.order) == mostAnswers {
		delete(a.texts, a.order[0])
		a.order = a.order[1:]
	}
	a.texts[at] = text
	a.order = append(a.order, at)
	return at, again
}

// write puts an answer into a file for a client that knows no documents of a server; "" where
// it can't be written. Only its owner can read the file.
func (a *answers) write(about uri.URI, title, text string) uri.URI {
	if a.dir == "" {
		return ""
	}
	file := filepath.Join(a.dir, filepath.FromSlash(answerName(about, title)))
	if os.MkdirAll(filepath.Dir(file), 0o700) != nil || files.Write(file, []byte(text), 0o600) != nil {
		return ""
	}
	return uri.File(file)
}

func (a *answers) read(at uri.URI) (string, bool) {
	a.mu.Lock()
	defer a.mu.Unlock()
	text, ok := a.texts[at]
	return text, ok
}

// answerName is a path of an answer: a folder for the document that it is about, since documents
// of two folders may have one name, and the title, which an editor shows.
func answerName(about uri.URI, title string) string {
	sum := fnv.New64a()
	_, _ = sum.Write([]byte(about + "\n" + uri.URI(title))) // a hash never fails
	plain := strings.Map(func(r rune) rune {
		switch {
		case r >= 'a' && r <= 'z', r >= 'A' && r <= 'Z', r >= '0' && r <= '9', r == '_', r == '.':
			return r
		}
		return '-'
	}, title)
	if len(plain) > 60 { // what it is cut off to stays apart by the sum
		plain = plain[:60]
	}
	return fmt.Sprintf("%016x/%s.txt", sum.Sum64(), strings.Trim(plain, "-."))
}

// show shows an answer about a document to a person: as a document of its own where the client
// can show one, else its summary as a message and the whole in the log.
func (r *Request) show(about uri.URI, a *answered) {
	s, title, text, summary := r.server, a.title, a.text, a.summary
	message := func() {
		if text != summary {
			s.tell(protocol.MessageTypeInfo, text)
			summary += " (the whole answer is in the log of the language server)"
		}
		s.notify("", "window/showMessage", &protocol.ShowMessageParams{Type: protocol.MessageTypeInfo, Message: escape.Lines(summary)})
	}
	if text == summary || !r.Client.Can("window.showDocument.support") {
		message()
		return
	}
	var at uri.URI
	if r.Client.Says("workspace.textDocumentContent") {
		again := false
		if at, again = s.answers.put(about, title, text); again {
			s.askAbout(string(at), "workspace/textDocumentContent/refresh", &protocol.TextDocumentContentRefreshParams{URI: at}, func(json.RawMessage, error) {})
		}
	} else if at = s.answers.write(about, title, text); at == "" {
		message()
		return
	}
	focus := true
	s.askAbout(string(at), "window/showDocument", &protocol.ShowDocumentParams{URI: at, TakeFocus: &focus}, func(raw json.RawMessage, err error) {
		var shown protocol.ShowDocumentResult
		if err != nil || json.Unmarshal(raw, &shown) != nil || !shown.Success {
			message()
		}
	})
}

// documentContent gives a client the text of an answer.
func documentContent() Feature {
	return OnWorkspace("workspace/textDocumentContent",
		func(caps *protocol.ServerCapabilities, c *Client) {
			if !c.Says("workspace.textDocumentContent") {
				return
			}
			if caps.Workspace == nil {
				caps.Workspace = &protocol.WorkspaceOptions{}
			}
			caps.Workspace.TextDocumentContent = &protocol.TextDocumentContentOptions{Schemes: []string{answerScheme}}
		},
		func(_ context.Context, r *Request, p *protocol.TextDocumentContentParams) (*protocol.TextDocumentContentResult, error) {
			text, ok := r.server.answers.read(p.URI)
			if !ok {
				return nil, rpc.Errorf(rpc.InvalidParams, "there is no answer %s any more; ask again", p.URI)
			}
			return &protocol.TextDocumentContentResult{Text: text}, nil
		})
}

// plainJSON makes the texts of a JSON document safe to show: a client shows them as they are.
func plainJSON(form []byte) json.RawMessage {
	var doc any
	d := json.NewDecoder(bytes.NewReader(form))
	d.UseNumber() // a number stays as it is written
	if d.Decode(&doc) != nil {
		return form // the server has just written it
	}
	out, err := json.Marshal(plain(doc))
	if err != nil {
		return form
	}
	return out
}

func plain(v any) any {
	switch v := v.(type) {
	case string:
		return escape.Lines(v)
	case []any:
		for i := range v {
			v[i] = plain(v[i])
		}
	case map[string]any:
		for k := range v {
			v[k] = plain(v[k])
		}
	}
	return v
}
