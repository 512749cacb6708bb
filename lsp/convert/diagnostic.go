package convert

import (
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"strings"

	"go.lsp.dev/protocol"
	"go.lsp.dev/uri"

	"pintle/lang/diag"
	"pintle/lang/escape"
	"pintle/lang/source"
)

// Source is how the editor names where a diagnostic comes from.
const Source = "pintle"

// Diagnostics converts findings as far as a client can show them.
type Diagnostics struct {
	Encoding Encoding
	Folders  []string // to show paths relative to
	// Related, Tags, Data: the client takes relatedInformation, the tag for what is
	// unnecessary, data.
	Related, Tags, Data bool
	// Page returns the page of a rule, or "": then there is no link.
	Page func(rule string) uri.URI
	// URI returns what the client calls a document.
	URI func(name string) uri.URI
}

// All converts findings that stand in one file, without those that the design accepts.
// The list is never nil. What only follows from another finding is shown as information,
// with the way to that; the root is as severe as the worst of its story.
func (d *Diagnostics) All(f *source.File, fs []diag.Finding) []protocol.Diagnostic {
	out := make([]protocol.Diagnostic, 0, len(fs))
	texts := map[*source.File]*Text{f: d.Encoding.Text(f)}
	stories := map[story]int{}
	for i := range fs {
		if fs[i].Waived != nil {
			continue
		}
		if fs[i].Follows == nil {
			stories[storyOf(fs[i].Rule, fs[i].Message, fs[i].Place)] = len(out)
		}
		out = append(out, d.one(texts, &fs[i]))
	}
	for i := range fs {
		r := fs[i].Follows
		if r == nil || fs[i].Waived != nil {
			continue
		}
		k, ok := stories[storyOf(r.Rule, r.Message, r.Place)]
		if !ok {
			continue // it stands in another file
		}
		root := &out[k]
		root.Severity = min(root.Severity, severity(fs[i].Severity))
		if d.Related && len(root.RelatedInformation) < mostRelated {
			root.RelatedInformation = append(root.RelatedInformation, protocol.DiagnosticRelatedInformation{
				Location: protocol.Location{URI: d.URI(f.Name), Range: texts[f].Range(fs[i].Span)},
				Message:  escape.Lines("follows from it: " + fs[i].Message),
			})
		}
	}
	return out
}

// mostRelated is how many places a diagnostic points to before what follows from it is no
// longer among them.
const mostRelated = 40

// story names a finding as that from which others follow.
type story struct {
	rule, message string
	span          source.Span
	file          string
}

func storyOf(rule, message string, p diag.Place) story {
	out := story{rule: rule, message: message, span: p.Span}
	if p.File != nil {
		out.file = p.File.Name
	}
	return out
}

func (d *Diagnostics) one(texts map[*source.File]*Text, f *diag.Finding) protocol.Diagnostic {
	text := func(f *source.File) *Text {
		t, ok := texts[f]
		if !ok {
			t = d.Encoding.Text(f)
			texts[f] = t
		}
		return t
	}
	out := protocol.Diagnostic{
		Severity: severity(f.Severity),
		Code:     protocol.String(f.Rule),
		Source:   protocol.NewOptional(Source),
		Message:  protocol.String(d.message(f)),
	}
	if f.File != nil {
		out.Range = text(f.File).Range(f.Span)
	}
	if f.Follows != nil {
		out.Severity = protocol.DiagnosticSeverityInformation
	}
	if d.Page != nil {
		out.CodeDescription = protocol.CodeDescription{Href: d.Page(f.Rule)}
	}
	if d.Tags {
		for _, t := range f.Tags {
			if t == diag.Unnecessary {
				out.Tags = protocol.NewDiagnosticTags(protocol.DiagnosticTagUnnecessary)
			}
		}
	}
	if d.Related {
		if r := f.Follows; r != nil && r.File != nil {
			out.RelatedInformation = append(out.RelatedInformation, protocol.DiagnosticRelatedInformation{
				Location: protocol.Location{URI: d.URI(r.File.Name), Range: text(r.File).Range(r.Span)},
				Message:  escape.Lines("the root cause: " + r.Message),
			})
		}
		for _, r := range related(f) {
			if r.File == nil {
				continue
			}
			out.RelatedInformation = append(out.RelatedInformation, protocol.DiagnosticRelatedInformation{
				Location: protocol.Location{URI: d.URI(r.File.Name), Range: text(r.File).Range(r.Span)},
				Message:  escape.Lines(r.Note),
			})
		}
	}
	if d.Data {
		// Marshalling a struct of strings and numbers can't fail.
		out.Data, _ = json.Marshal(Data{ID: ID(f), Fixes: len(f.Fixes)})
	}
	return out
}

func severity(s diag.Severity) protocol.DiagnosticSeverity {
	switch s {
	case diag.Error:
		return protocol.DiagnosticSeverityError
	case diag.Warning:
		return protocol.DiagnosticSeverityWarning
	}
	return protocol.DiagnosticSeverityInformation
}

// message is the finding in full. Its first line stands alone, for editors that show no
// more than one.
func (d *Diagnostics) message(f *diag.Finding) string {
	var b strings.Builder
	b.WriteString(f.Message)
	if f.Where != "" {
		where := f.Where
		for _, folder := range d.Folders {
			where = strings.ReplaceAll(where, strings.TrimSuffix(folder, "/")+"/", "")
		}
		fmt.Fprintf(&b, " (%s)", where)
	}
	if r := f.Follows; r != nil {
		fmt.Fprintf(&b, "\nFollows from: %s", r.Message)
	}
	for _, r := range f.Related {
		if r.File == nil && r.Note != "" {
			fmt.Fprintf(&b, "\n%s", r.Note)
		}
	}
	if f.Why != "" {
		fmt.Fprintf(&b, "\nWhy: %s", f.Why)
	}
	if f.Help != "" {
		fmt.Fprintf(&b, "\nHelp: %s", f.Help)
	}
	return escape.Lines(b.String())
}

// related are the further places of a finding: those that it names, then those of its
// evidence.
func related(f *diag.Finding) []diag.Related {
	out := f.Related
	for _, e := range f.Evidence {
		for _, l := range e.Lines {
			if l.File != nil && !l.IsZero() {
				out = append(out[:len(out):len(out)], diag.Related{Place: l.Place, Note: l.Text})
			}
		}
	}
	return out
}

// Data is what a diagnostic carries for the request that asks for actions on it.
type Data struct {
	ID    string `json:"id"`
	Fixes int    `json:"fixes"`
}

// ID tells findings of one text apart from each other, and finds one again after an edit
// somewhere else: it holds what is said, not where.
func ID(f *diag.Finding) string {
	h := sha256.Sum256([]byte(f.Rule + "\x00" + f.Subject + "\x00" + f.Message))
	return hex.EncodeToString(h[:8])
}

// Find returns those of the findings in a text that a diagnostic stands for, which a
// client sends back with a request, perhaps without its data.
func Find(t *Text, d *protocol.Diagnostic, in []diag.Finding) []diag.Finding {
	var data Data
	if d.Data != nil && json.Unmarshal(d.Data, &data) != nil {
		data = Data{}
	}
	var out []diag.Finding
	for i := range in {
		f := &in[i]
		if data.ID != "" && data.ID != ID(f) || protocol.ProgressToken(protocol.String(f.Rule)) != d.Code {
			continue
		}
		if t.Range(f.Span) == d.Range {
			out = append(out, *f)
		}
	}
	return out
}

// Location converts a place.
func (e Encoding) Location(p diag.Place, uriOf func(string) uri.URI) protocol.Location {
	return protocol.Location{URI: uriOf(p.File.Name), Range: e.Text(p.File).Range(p.Span)}
}
