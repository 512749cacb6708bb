package server

import (
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"maps"
	"slices"
	"strconv"
	"sync"

	"go.lsp.dev/protocol"
	"go.lsp.dev/uri"
	"go.uber.org/zap"

	"pintle/checker/run"
	"pintle/checker/run/settings"
	"pintle/lang/diag"
	"pintle/lang/source"
	"pintle/lsp/convert"
	"pintle/lsp/session"
)

// listener hands what checking comes to on to the client.
type listener struct{ *Server }

// Report implements session.Listener.
func (l listener) Report(r session.Report) { l.push.report(r) }

// Settled implements session.Listener.
func (l listener) Settled(v *session.Snapshot, reports []session.Report) {
	l.push.settled(v, reports)
	passed := v.Passed()
	for _, name := range slices.Sorted(maps.Keys(passed)) {
		l.passedOver(name, passed[name])
	}
	l.progress.settled()
	l.tracef(func() (string, string) {
		return "checked " + strconv.FormatUint(v.Number(), 10), l.session.Counts.String()
	})
}

// Failed implements session.Listener.
func (l listener) Failed(f run.Failure) {
	if _, told := l.failures.LoadOrStore(f.File+"\x00"+f.What, true); told {
		return
	}
	l.log.Error("check", zap.String("file", f.File), zap.String("what", f.What), zap.String("stack", f.Stack))
	l.tell(protocol.MessageTypeError, f.String())
}

// passedOver tells once of settings that do not count.
func (l listener) passedOver(name, why string) {
	if _, told := l.failures.LoadOrStore(name+"\x00"+why, true); told {
		return
	}
	l.log.Warn("settings are passed over", zap.String("file", name), zap.String("why", why))
	l.tell(protocol.MessageTypeWarning, name+": these settings are passed over: "+why)
}

// Progress implements session.Listener.
func (l listener) Progress(_ *session.Snapshot, done, all int) { l.progress.at(done, all) }

// published is what the client was last told of a file.
type published struct {
	uri  uri.URI
	body [sha256.Size]byte // of what was sent
}

// pusher tells the client what is found: by pushing it, or, if it pulls, by asking it to
// pull again.
type pusher struct {
	server *Server

	mu        sync.Mutex
	published map[string]published
	answered  map[string]string // result ids given to a client that pulls, by name
}

// diagnostics converts the findings of a report.
func (s *Server) diagnostics(v *session.Snapshot) *convert.Diagnostics {
	c := s.client.Load()
	const push = "textDocument.publishDiagnostics."
	const pull = "textDocument.diagnostic."
	can := func(what string) bool { return c.Can(push+what) || c.Can(pull+what) }
	tags := slices.Concat(c.Numbers(push+"tagSupport.valueSet"), c.Numbers(pull+"tagSupport.valueSet"))
	d := &convert.Diagnostics{
		Encoding: s.encoding,
		Folders:  v.Folders(),
		Related:  can("relatedInformation"),
		Tags:     slices.Contains(tags, int(protocol.DiagnosticTagUnnecessary)),
		Data:     can("dataSupport"),
		URI:      func(name string) uri.URI { return uriOf(v, name) },
	}
	if can("codeDescriptionSupport") {
		d.Page = s.pages.of
	}
	return d
}

// report pushes the findings of one file.
func (p *pusher) report(r session.Report) {
	p.mu.Lock()
	defer p.mu.Unlock()
	if !p.server.client.Load().Pull {
		p.put(r)
	}
}

// put pushes a report unless the client was told the very same. p is locked.
func (p *pusher) put(r session.Report) {
	s := p.server
	params := &protocol.PublishDiagnosticsParams{URI: uriOf(r.Snapshot, r.Name)}
	if r.Src != nil {
		params.Diagnostics = s.diagnostics(r.Snapshot).All(r.Src, r.Findings)
	}
	if r.Document != nil && s.client.Load().Can("textDocument.publishDiagnostics.versionSupport") {
		params.Version = protocol.NewOptional(r.Document.Version)
	}
	p.send(r.Name, params)
}

func (p *pusher) send(name string, params *protocol.PublishDiagnosticsParams) {
	s := p.server
	body, err := encode(params)
	if err != nil {
		s.log.Error("publish", zap.Error(err))
		return
	}
	sum := sha256.Sum256(body)
	old, told := p.published[name]
	if told && old.body == sum || !told && len(params.Diagnostics) == 0 && s.session.Current().Document(name) == nil {
		return
	}
	p.published[name] = published{params.URI, sum}
	s.conn.Notify("diagnostics "+string(params.URI), "textDocument/publishDiagnostics", json.RawMessage(body))
}

// settled pushes everything, and takes back what was pushed of files that have nothing
// any more.
func (p *pusher) settled(v *session.Snapshot, reports []session.Report) {
	p.mu.Lock()
	defer p.mu.Unlock()
	s := p.server
	if s.client.Load().Pull {
		p.refresh(v, reports)
		return
	}
	there := map[string]bool{}
	for _, r := range reports {
		there[r.Name] = true
		p.put(r)
	}
	wrong := v.Wrong()
	for _, name := range slices.Sorted(maps.Keys(wrong)) {
		there[name] = true
		p.send(name, &protocol.PublishDiagnosticsParams{URI: uriOf(v, name), Diagnostics: settingsDiagnostics(wrong[name])})
	}
	for _, name := range slices.Sorted(maps.Keys(p.published)) {
		if there[name] {
			continue
		}
		p.send(name, &protocol.PublishDiagnosticsParams{URI: p.published[name].uri})
		delete(p.published, name)
	}
}

// settingsDiagnostics are the complaints about a settings file, each in the line that it is about.
func settingsDiagnostics(err error) []protocol.Diagnostic {
	var out []protocol.Diagnostic
	for _, p := range settings.Problems(err) {
		line := uint32(max(p.Line, 1))
		out = append(out, protocol.Diagnostic{
			Range:    protocol.Range{Start: protocol.Position{Line: line - 1}, End: protocol.Position{Line: line}},
			Severity: protocol.DiagnosticSeverityError,
			Source:   protocol.NewOptional(convert.Source),
			Message:  protocol.String(p.Message),
		})
	}
	return out
}

// refresh asks a client that pulls to do so again if what it has is out of date. p is
// locked.
func (p *pusher) refresh(v *session.Snapshot, reports []session.Report) {
	stale := false
	now := map[string]session.Report{}
	for _, r := range reports {
		now[r.Name] = r
	}
	d := p.server.diagnostics(v)
	for name, had := range p.answered {
		r := now[name]
		if _, id := p.server.items(d, r.Src, r.Findings); id != had {
			stale = true
			delete(p.answered, name)
		}
	}
	if stale && p.server.client.Load().Can("workspace.diagnostics.refreshSupport") {
		p.server.ask("workspace/diagnostic/refresh", nil, func(json.RawMessage) {})
	}
}

// told notes which result a client that pulls was given.
func (p *pusher) told(name, id string) {
	p.mu.Lock()
	defer p.mu.Unlock()
	p.answered[name] = id
}

// items converts findings and names the result by what is in it.
func (s *Server) items(d *convert.Diagnostics, src *source.File, fs []diag.Finding) ([]protocol.Diagnostic, string) {
	items := []protocol.Diagnostic{}
	if src != nil {
		items = d.All(src, fs)
	}
	h := sha256.New()
	for i := range items {
		b, err := encode(&items[i])
		if err != nil {
			s.log.Error("diagnostic", zap.Error(err))
			continue
		}
		h.Write(b)
	}
	return items, hex.EncodeToString(h.Sum(nil)[:8])
}
