package report

import (
	"bytes"
	"encoding/json"
	"io"
	"math/big"

	"pintle/checker/run"
	"pintle/lang/diag"
	"pintle/lang/escape"
	"pintle/lang/source"
)

// The layout of the JSON output. Lines and columns count from 1, columns in Unicode
// code points; the end of a range is the position behind its last character.
type (
	document struct {
		Tool     string    `json:"tool"`
		Version  string    `json:"version"`
		Findings []finding `json:"findings"`
		Failures []failure `json:"failures"`
		Summary  summary   `json:"summary"`

		Verdicts *verdictsDoc `json:"verdicts,omitempty"`
	}
	finding struct {
		Rule     string     `json:"rule"`
		Severity string     `json:"severity"`
		Message  string     `json:"message"`
		Why      string     `json:"why,omitempty"`
		Help     string     `json:"help,omitempty"`
		Subject  string     `json:"subject,omitempty"`
		Where    string     `json:"where,omitempty"`
		File     string     `json:"file"`
		Range    span       `json:"range"`
		Related  []related  `json:"related"`
		Evidence []evidence `json:"evidence"`
		Fixes    []fix      `json:"fixes"`
		Follows  *root      `json:"follows,omitempty"`
		Waived   *waiver    `json:"waived,omitempty"`
	}
	span struct {
		Start source.Position `json:"start"`
		End   source.Position `json:"end"`
	}
	place struct {
		File  string `json:"file"`
		Range span   `json:"range"`
	}
	related struct {
		place
		Note string `json:"note"`
	}
	evidence struct {
		Kind  diag.EvidenceKind `json:"kind"`
		Title string            `json:"title,omitempty"`
		Lines []line            `json:"lines"`
	}
	line struct {
		Text string `json:"text"`
		*place
		Step string `json:"step,omitempty"`
	}
	fix struct {
		Title string `json:"title"`
		Edits []edit `json:"edits"`
	}
	edit struct {
		place
		New string `json:"new"`
	}
	root struct {
		Rule    string `json:"rule"`
		Message string `json:"message"`
		Subject string `json:"subject,omitempty"`
		place
	}
	waiver struct {
		Reason string `json:"reason"`
		*place
	}
	failure struct {
		File     string `json:"file"`
		What     string `json:"what"`
		Internal bool   `json:"internal"`
	}
	summary struct {
		Files    int      `json:"files"`
		Designs  int      `json:"designs"`
		Benches  int      `json:"benches"`
		States   *big.Int `json:"states"`
		Claims   claimSum `json:"claims"`
		Drives   int      `json:"drives"`
		Failed   int      `json:"drives_failed"`
		Open     int      `json:"drives_undecided"`
		Assumed  int      `json:"assumed"`
		Errors   int      `json:"errors"`
		Warnings int      `json:"warnings"`
		Notes    int      `json:"notes"`
		Accepted int      `json:"accepted"`
	}
	claimSum struct {
		Proved      int `json:"proved"`
		Vacuous     int `json:"vacuous"`
		Nominal     int `json:"nominal"`
		Failed      int `json:"failed"`
		Undecided   int `json:"undecided"`
		Excepting   int `json:"excepting"`
		Unprotected int `json:"unprotected"`
	}
)

func writeJSON(w io.Writer, r *run.Result, o Options) error {
	s := r.Summary
	doc := document{
		Tool:     "pintle",
		Version:  o.Version,
		Findings: make([]finding, 0, len(r.Findings)),
		Failures: []failure{},
		Summary: summary{
			Files: s.Files, Designs: s.Designs, Benches: s.Benches, States: s.States,
			Claims: claimSum(s.Claims), Drives: s.Drives, Failed: s.DrivesFailed, Open: s.DrivesUndecided, Assumed: s.Assumed,
			Errors: s.Errors, Warnings: s.Warnings, Notes: s.Notes, Accepted: s.Accepted,
		},
	}
	if doc.Summary.States == nil {
		doc.Summary.States = new(big.Int)
	}
	if o.Verdicts {
		doc.Verdicts = newVerdicts(r)
	}
	for i := range r.Findings {
		doc.Findings = append(doc.Findings, newFinding(&r.Findings[i]))
	}
	for _, s := range stories(r.Findings) {
		for _, i := range s.follows {
			f := &r.Findings[i]
			doc.Findings[s.root].Related = append(doc.Findings[s.root].Related, related{newPlace(f.Place), followsFromIt + f.Message})
		}
	}
	for _, f := range r.Failures {
		doc.Failures = append(doc.Failures, failure{File: f.File, What: f.What, Internal: f.Stack != ""})
	}
	return encodeJSON(w, doc, "  ")
}

// encodeJSON writes a document for programs that is harmless where people look at it.
func encodeJSON(w io.Writer, doc any, indent string) error {
	var b bytes.Buffer
	enc := json.NewEncoder(&b)
	enc.SetEscapeHTML(false)
	enc.SetIndent("", indent)
	if err := enc.Encode(doc); err != nil {
		return err
	}
	_, err := w.Write(escape.JSON(b.Bytes()))
	return err
}

func newFinding(f *diag.Finding) finding {
	at := newPlace(f.Place)
	out := finding{
		Rule: f.Rule, Severity: f.Severity.String(), Message: f.Message, Why: f.Why, Help: f.Help,
		Subject: f.Subject, Where: f.Where, File: at.File, Range: at.Range,
		Related: []related{}, Evidence: []evidence{}, Fixes: []fix{},
	}
	for _, r := range f.Related {
		out.Related = append(out.Related, related{newPlace(r.Place), r.Note})
	}
	for _, e := range f.Evidence {
		lines := make([]line, 0, len(e.Lines))
		for _, l := range e.Lines {
			lines = append(lines, line{l.Text, optionalPlace(l.Place), l.Step})
		}
		out.Evidence = append(out.Evidence, evidence{e.Kind, e.Title, lines})
	}
	for _, x := range f.Fixes {
		edits := make([]edit, 0, len(x.Edits))
		for _, e := range x.Edits {
			edits = append(edits, edit{newPlace(e.Place), e.New})
		}
		out.Fixes = append(out.Fixes, fix{x.Title, edits})
	}
	if r := f.Follows; r != nil {
		out.Follows = &root{r.Rule, r.Message, r.Subject, newPlace(r.Place)}
	}
	if w := f.Waived; w != nil {
		out.Waived = &waiver{w.Reason, optionalPlace(w.Place)}
	}
	return out
}

func newPlace(p diag.Place) place {
	if p.IsZero() {
		first := source.Position{Line: 1, Column: 1}
		return place{Range: span{first, first}}
	}
	return place{p.File.Name, span{p.File.Position(p.Start), p.File.Position(p.End)}}
}

func optionalPlace(p diag.Place) *place {
	if p.IsZero() {
		return nil
	}
	out := newPlace(p)
	return &out
}
