package report

import (
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"io"
	"net/url"
	"path"
	"path/filepath"
	"strings"

	"pintle/checker/rule"
	"pintle/checker/run"
	"pintle/lang/diag"
	"pintle/lang/escape"
)

// The parts of SARIF 2.1.0 (OASIS standard) that a check has something for, named as
// in the standard.
type (
	sarifLog struct {
		Schema  string     `json:"$schema"`
		Version string     `json:"version"`
		Runs    []sarifRun `json:"runs"`
	}
	sarifRun struct {
		Tool        sarifTool         `json:"tool"`
		Invocations []sarifInvocation `json:"invocations"`
		ColumnKind  string            `json:"columnKind"`
		Results     []sarifResult     `json:"results"`
	}
	sarifTool struct {
		Driver sarifDriver `json:"driver"`
	}
	sarifDriver struct {
		Name    string      `json:"name"`
		Version string      `json:"version,omitempty"`
		Rules   []sarifRule `json:"rules"`
	}
	sarifRule struct {
		ID               string         `json:"id"`
		ShortDescription sarifText      `json:"shortDescription"`
		FullDescription  sarifText      `json:"fullDescription"`
		Help             sarifText      `json:"help"`
		Default          sarifConfig    `json:"defaultConfiguration"`
		Properties       map[string]any `json:"properties"`
	}
	sarifConfig struct {
		Level string `json:"level"`
	}
	sarifInvocation struct {
		Successful    bool                `json:"executionSuccessful"`
		Notifications []sarifNotification `json:"toolExecutionNotifications,omitempty"`
	}
	sarifNotification struct {
		Level     string          `json:"level"`
		Message   sarifText       `json:"message"`
		Locations []sarifLocation `json:"locations,omitempty"`
	}
	sarifText struct {
		Text     string `json:"text"`
		Markdown string `json:"markdown,omitempty"`
	}
	sarifResult struct {
		RuleID       string             `json:"ruleId"`
		RuleIndex    *int               `json:"ruleIndex,omitempty"`
		Level        string             `json:"level"`
		Message      sarifText          `json:"message"`
		Locations    []sarifLocation    `json:"locations"`
		Related      []sarifLocation    `json:"relatedLocations,omitempty"`
		CodeFlows    []sarifCodeFlow    `json:"codeFlows,omitempty"`
		Fixes        []sarifFix         `json:"fixes,omitempty"`
		Suppressions []sarifSuppression `json:"suppressions,omitempty"`
		Fingerprints map[string]string  `json:"partialFingerprints"`
		Properties   map[string]any     `json:"properties,omitempty"`
	}
	sarifLocation struct {
		ID       *int           `json:"id,omitempty"`
		Physical *sarifPhysical `json:"physicalLocation,omitempty"`
		Logical  []sarifLogical `json:"logicalLocations,omitempty"`
		Message  *sarifText     `json:"message,omitempty"`
	}
	sarifPhysical struct {
		Artifact sarifArtifact `json:"artifactLocation"`
		Region   *sarifRegion  `json:"region,omitempty"`
	}
	sarifArtifact struct {
		URI string `json:"uri"`
	}
	sarifRegion struct {
		StartLine   int `json:"startLine"`
		StartColumn int `json:"startColumn"`
		EndLine     int `json:"endLine"`
		EndColumn   int `json:"endColumn"`
	}
	sarifLogical struct {
		Name string `json:"fullyQualifiedName"`
	}
	sarifCodeFlow struct {
		Message sarifText         `json:"message"`
		Threads []sarifThreadFlow `json:"threadFlows"`
	}
	sarifThreadFlow struct {
		Locations []sarifFlowStep `json:"locations"`
	}
	sarifFlowStep struct {
		Location sarifLocation `json:"location"`
	}
	sarifFix struct {
		Description sarifText     `json:"description"`
		Changes     []sarifChange `json:"artifactChanges"`
	}
	sarifChange struct {
		Artifact     sarifArtifact      `json:"artifactLocation"`
		Replacements []sarifReplacement `json:"replacements"`
	}
	sarifReplacement struct {
		Deleted  sarifRegion `json:"deletedRegion"`
		Inserted sarifText   `json:"insertedContent"`
	}
	sarifSuppression struct {
		Kind          string         `json:"kind"`
		Justification string         `json:"justification"`
		Location      *sarifLocation `json:"location,omitempty"`
	}
)

func writeSARIF(w io.Writer, r *run.Result, o Options) error {
	one := sarifRun{
		Tool:        sarifTool{Driver: sarifDriver{Name: "pintle", Version: o.Version, Rules: []sarifRule{}}},
		Invocations: []sarifInvocation{{Successful: len(r.Failures) == 0}},
		ColumnKind:  "unicodeCodePoints",
		Results:     make([]sarifResult, 0, len(r.Findings)),
	}
	index := map[string]int{}
	if o.Catalogue != nil {
		for i, rule := range o.Catalogue.Rules() {
			index[rule.Name] = i
			one.Tool.Driver.Rules = append(one.Tool.Driver.Rules, newSARIFRule(rule))
		}
	}
	for _, f := range r.Failures {
		one.Invocations[0].Notifications = append(one.Invocations[0].Notifications, sarifNotification{
			Level:     "error",
			Message:   message(f.What),
			Locations: []sarifLocation{{Physical: &sarifPhysical{Artifact: sarifArtifact{uri(f.File)}}}},
		})
	}
	seen := map[string]int{}
	for i := range r.Findings {
		f := &r.Findings[i]
		result := newSARIFResult(f)
		if n, ok := index[f.Rule]; ok {
			result.RuleIndex = &n
		}
		// What looks the same gets a number, so that each is its own.
		print := fingerprint(f)
		seen[print]++
		result.Fingerprints = map[string]string{"subject/v1": fmt.Sprintf("%s:%d", print, seen[print])}
		one.Results = append(one.Results, result)
	}
	for _, s := range stories(r.Findings) {
		root := &one.Results[s.root]
		for _, i := range s.follows {
			l, id := location(r.Findings[i].Place), len(root.Related)
			l.ID, l.Message = &id, pointer(message(followsFromIt+r.Findings[i].Message))
			root.Related = append(root.Related, l)
		}
	}
	return encodeJSON(w, sarifLog{
		Schema:  "https://json.schemastore.org/sarif-2.1.0.json",
		Version: "2.1.0",
		Runs:    []sarifRun{one},
	}, " ")
}

func newSARIFRule(r rule.Rule) sarifRule {
	properties := map[string]any{"group": r.Group}
	if r.Source != "" {
		properties["source"] = r.Source
	}
	return sarifRule{
		ID:               r.Name,
		ShortDescription: sarifText{Text: r.Summary + "."},
		FullDescription:  sarifText{Text: r.Summary + ". Why it matters: " + r.Why + "."},
		Help:             sarifText{Text: r.Doc, Markdown: r.Doc},
		Default:          sarifConfig{Level: level(r.Severity)},
		Properties:       properties,
	}
}

func newSARIFResult(f *diag.Finding) sarifResult {
	at := location(f.Place)
	if f.Subject != "" {
		at.Logical = []sarifLogical{{f.Subject}}
	}
	said := f.Message + "."
	if f.Where != "" {
		said = f.Message + " (" + f.Where + ")."
	}
	if f.Help != "" {
		said += " To do: " + f.Help + "."
	}
	out := sarifResult{
		RuleID:    f.Rule,
		Level:     level(f.Severity),
		Message:   message(said),
		Locations: []sarifLocation{at},
	}
	for i, rel := range f.Related {
		l := location(rel.Place)
		l.ID, l.Message = &i, pointer(message(rel.Note))
		out.Related = append(out.Related, l)
	}
	if r := f.Follows; r != nil {
		l, id := location(r.Place), len(out.Related)
		l.ID, l.Message = &id, pointer(message("root cause: "+r.Message))
		out.Related = append(out.Related, l)
		out.Properties = map[string]any{"follows": map[string]string{"ruleId": r.Rule, "subject": r.Subject}}
	}
	for _, e := range f.Evidence {
		if flow, ok := codeFlow(e, f.Place); ok {
			out.CodeFlows = append(out.CodeFlows, flow)
		} else {
			if out.Properties == nil {
				out.Properties = map[string]any{}
			}
			out.Properties[string(e.Kind)] = lines(e)
		}
	}
	for _, fix := range f.Fixes {
		if x := newSARIFFix(fix); len(x.Changes) > 0 {
			out.Fixes = append(out.Fixes, x)
		}
	}
	if f.Waived != nil {
		s := sarifSuppression{Kind: "inSource", Justification: f.Waived.Reason}
		if !f.Waived.IsZero() {
			l := location(f.Waived.Place)
			s.Location = &l
		}
		out.Suppressions = []sarifSuppression{s}
	}
	return out
}

// codeFlow writes evidence whose lines follow one another. A line without a place of
// its own stands where the finding does.
func codeFlow(e diag.Evidence, about diag.Place) (sarifCodeFlow, bool) {
	if e.Kind != diag.Trace && e.Kind != diag.Path && e.Kind != diag.Chain || len(e.Lines) == 0 {
		return sarifCodeFlow{}, false
	}
	title := e.Title
	if title == "" {
		title = evidenceTitles[e.Kind]
	}
	var steps []sarifFlowStep
	for _, l := range e.Lines {
		at := l.Place
		if at.IsZero() {
			at = about
		}
		step := location(at)
		step.Message = pointer(message(l.Text))
		steps = append(steps, sarifFlowStep{step})
	}
	return sarifCodeFlow{Message: message(title), Threads: []sarifThreadFlow{{steps}}}, true
}

// message is a text that may hold names and texts of designs.
func message(text string) sarifText { return sarifText{Text: escape.SARIF(text)} }

func pointer[T any](v T) *T { return &v }

func lines(e diag.Evidence) []string {
	out := make([]string, 0, len(e.Lines))
	for _, l := range e.Lines {
		out = append(out, l.Text)
	}
	return out
}

// newSARIFFix gathers the edits of each file in the order of their first one.
func newSARIFFix(fix diag.Fix) sarifFix {
	out := sarifFix{Description: message(fix.Title), Changes: []sarifChange{}}
	at := map[string]int{}
	for _, e := range fix.Edits {
		if e.IsZero() {
			continue
		}
		i, ok := at[e.File.Name]
		if !ok {
			i = len(out.Changes)
			at[e.File.Name] = i
			out.Changes = append(out.Changes, sarifChange{Artifact: sarifArtifact{uri(e.File.Name)}})
		}
		out.Changes[i].Replacements = append(out.Changes[i].Replacements, sarifReplacement{
			Deleted: *region(e.Place), Inserted: sarifText{Text: e.New},
		})
	}
	return out
}

func location(p diag.Place) sarifLocation {
	if p.IsZero() {
		return sarifLocation{}
	}
	return sarifLocation{Physical: &sarifPhysical{Artifact: sarifArtifact{uri(p.File.Name)}, Region: region(p)}}
}

func region(p diag.Place) *sarifRegion {
	start, end := p.File.Position(p.Start), p.File.Position(p.End)
	return &sarifRegion{start.Line, start.Column, end.Line, end.Column}
}

func level(s diag.Severity) string {
	if s == diag.Off {
		return "none"
	}
	return s.String()
}

// uri writes a path as SARIF wants it: relative, or with the file scheme. A drive of
// Windows stands behind a third slash, a server in place of the host (RFC 8089, appendix E).
func uri(name string) string {
	u := url.URL{Path: name}
	switch server, share, unc := strings.Cut(strings.TrimPrefix(name, "//"), "/"); {
	case strings.HasPrefix(name, "//") && unc && server != "":
		u = url.URL{Scheme: "file", Host: server, Path: "/" + share}
	case path.IsAbs(name):
		u.Scheme = "file"
	case len(name) > 2 && name[1] == ':' && name[2] == '/' && filepath.IsAbs(filepath.FromSlash(name)):
		u = url.URL{Scheme: "file", Path: "/" + name}
	}
	return u.String()
}

// fingerprint is the same for a finding after lines were moved.
func fingerprint(f *diag.Finding) string {
	h := sha256.New()
	for _, s := range []string{f.Rule, nameOf(f.Place), f.Subject, f.Where} {
		io.WriteString(h, s)
		h.Write([]byte{0})
	}
	if f.Subject == "" {
		io.WriteString(h, f.Message)
	}
	return hex.EncodeToString(h.Sum(nil)[:8])
}
