package navigate

import (
	"cmp"
	"context"
	"slices"
	"strconv"
	"strings"

	"pintle/lang/schema"
	"pintle/lang/source"
	"pintle/lang/syntax"
	"pintle/lsp/ide"
)

// Symbol is something in the outline of a document.
type Symbol struct {
	Name     string
	Detail   string
	Kind     SymbolKind
	Full     source.Span // all of it, with its body
	At       source.Span // its name, within Full
	Children []Symbol
}

// SymbolKind says what a symbol is, for the picture beside it.
type SymbolKind uint8

// The kinds of symbols.
const (
	SymbolThing    SymbolKind = iota // a piece of hardware
	SymbolFile                       // a used file
	SymbolPart                       // a part
	SymbolFit                        // something put in place
	SymbolBench                      // a bench
	SymbolPin                        // a point or a port
	SymbolWire                       // what joins
	SymbolQuantity                   // a quantity or setting
	SymbolArgument                   // an argument
	SymbolLogic                      // what decides
	SymbolTable                      // modes, bands, results, charts
	SymbolMember                     // a position, mode, row, band, level
	SymbolMove                       // a transition
	SymbolClaim                      // a requirement, an assumption, a symptom, a fault
	SymbolDrive                      // a drive
	SymbolStep                       // a step
	SymbolGroup                      // what is there only under some options
)

var symbolKinds = map[schema.ID]SymbolKind{
	schema.Use: SymbolFile, schema.Part: SymbolPart, schema.Fit: SymbolFit, schema.Bench: SymbolBench,
	schema.Pin: SymbolPin, schema.Port: SymbolPin, schema.Node: SymbolPin, schema.Ground: SymbolPin, schema.Splice: SymbolPin,
	schema.Wire: SymbolWire, schema.Hose: SymbolWire, schema.Connector: SymbolWire,
	schema.Quantity: SymbolQuantity, schema.Setting: SymbolQuantity, schema.Option: SymbolQuantity, schema.Takes: SymbolArgument,
	schema.Threshold: SymbolLogic, schema.Timer: SymbolLogic, schema.Beat: SymbolLogic, schema.Condition: SymbolLogic,
	schema.Result: SymbolTable, schema.Modes: SymbolTable, schema.Bands: SymbolTable, schema.Chart: SymbolTable,
	schema.ResultRow: SymbolMember, schema.TimerRow: SymbolMember, schema.ChartRow: SymbolMember, schema.Mode: SymbolMember,
	schema.Band: SymbolMember, schema.From: SymbolMove,
	schema.Require: SymbolClaim, schema.Assume: SymbolClaim, schema.Symptom: SymbolClaim, schema.Noticed: SymbolClaim, schema.Fault: SymbolClaim, schema.Accept: SymbolClaim,
	schema.Drive: SymbolDrive, schema.Step: SymbolStep, schema.Only: SymbolGroup,
}

// Symbols is the outline of a document: its statements, as far as they have names.
func Symbols(f *syntax.File) []Symbol { return symbolsOf(f.Stmts) }

func symbolsOf(stmts []*syntax.Stmt) []Symbol {
	var out []Symbol
	steps := 0
	for _, st := range stmts {
		list := symbolOf(st)
		for i := range list {
			if list[i].Kind == SymbolStep {
				if steps++; list[i].Name == "" {
					list[i].Name = "step " + strconv.Itoa(steps)
				}
			}
		}
		out = append(out, list...)
	}
	return out
}

func symbolOf(st *syntax.Stmt) []Symbol {
	children := symbolsOf(st.Body)
	if st.Kind == nil {
		return children // a word that is none: what stands in its braces may be in order
	}
	h := st.Head()
	s := Symbol{Kind: symbolKinds[st.Kind.ID], Full: st.Span, At: st.KindWord().Span, Detail: st.Kind.Name, Children: children}
	switch st.Kind.ID {
	case schema.Title, schema.Shows:
		return children
	case schema.Use:
		if h.Text == nil {
			return nil
		}
		s.Name, s.At = h.Text.Text, h.Text.Span
	case schema.Only:
		s.Name = "only when"
		if h.Cond != nil {
			s.Name += " " + oneLine(ide.SpanText(st.File(), h.Cond.Span))
		}
	case schema.Powered:
		s.Name, s.Detail = "powered", ""
	case schema.From:
		s.Name, s.Detail = oneLine(ide.SpanText(st.File(), st.KindWord().Span.Join(h.Span))), ""
	case schema.Accept:
		s.Name = "accept " + st.Name().Text
	case schema.Step:
		s.Name, s.Detail = st.Name().Text, ""
		return []Symbol{s} // one without a name is called by its number
	default:
		return named(st, s)
	}
	if s.Name = strings.TrimSpace(s.Name); s.Name == "" {
		return children
	}
	return []Symbol{s}
}

// named makes the symbols of a statement that declares one or several names.
func named(st *syntax.Stmt, s Symbol) []Symbol {
	names := slices.DeleteFunc(slices.Clone(st.Head().Names), func(w syntax.Word) bool { return w.Text == "" })
	if len(names) == 0 {
		return s.Children
	}
	if st.Kind.ID == schema.Fit {
		for _, id := range [...]schema.FormID{schema.FitPart, schema.FitMany} {
			if c := st.Clause(id); c != nil {
				s.Detail = oneLine(ide.TextOf(st, c))
			}
		}
	}
	for _, c := range st.Clauses() {
		role := ""
		switch {
		case c.Form == nil || c.Broken:
			continue
		case c.Form.ID == schema.SettingPosition, c.Form.ID == schema.OptionPosition:
			role = "position"
		case c.Form.ID == schema.LoadLevel:
			role = "level"
		default:
			continue
		}
		w := c.Word(role)
		s.Children = append(s.Children, Symbol{Name: w.Text, Detail: role, Kind: SymbolMember, Full: c.Span, At: w.Span})
	}
	if len(names) == 1 {
		s.Name, s.At = names[0].Text, names[0].Span
		return []Symbol{s}
	}
	var out []Symbol
	for _, w := range names {
		out = append(out, Symbol{Name: w.Text, Detail: s.Detail, Kind: s.Kind, Full: w.Span, At: w.Span})
	}
	return out
}

// longestName is how much of a condition an outline shows.
const longestName = 60

func oneLine(s string) string {
	s = strings.Join(strings.Fields(s), " ")
	if r := []rune(s); len(r) > longestName {
		s = string(r[:longestName]) + " …"
	}
	return s
}

// FoundSymbol is a symbol of the workspace.
type FoundSymbol struct {
	Symbol
	File *source.File
	In   string // the path of what it stands in
}

// mostSymbols is how many symbols of a workspace are shown at once; a longer query brings
// up the others.
const mostSymbols = 500

// WorkspaceSymbols finds symbols in all files by some of their letters in order, the best
// first. A query with a dot is held against whole paths.
func WorkspaceSymbols(ctx context.Context, w ide.Workspace, query string) ([]FoundSymbol, error) {
	names, err := w.Names(ctx)
	if err != nil {
		return nil, err
	}
	type hit struct {
		FoundSymbol
		score int
	}
	var hits []hit
	query = strings.ReplaceAll(query, " ", "")
	for _, n := range names {
		r, err := w.Root(ctx, n)
		if err != nil {
			return nil, err
		}
		if r == nil {
			continue
		}
		var walk func(list []Symbol, in string)
		walk = func(list []Symbol, in string) {
			for _, s := range list {
				inner := s.Name
				if in != "" {
					inner = in + "." + s.Name
				}
				switch s.Kind {
				case SymbolGroup:
					walk(s.Children, in)
					continue
				case SymbolMove, SymbolFile:
					continue
				}
				held := s.Name
				if strings.Contains(query, ".") {
					held = inner
				}
				if score, ok := ide.Fuzzy(query, held); ok {
					found := FoundSymbol{Symbol: s, File: r.Tree.Src, In: in}
					found.Children = nil
					hits = append(hits, hit{found, score})
				}
				walk(s.Children, inner)
			}
		}
		walk(Symbols(r.Tree), "")
	}
	slices.SortStableFunc(hits, func(a, b hit) int {
		return cmp.Or(-cmp.Compare(a.score, b.score), cmp.Compare(strings.Count(a.In, "."), strings.Count(b.In, ".")), cmp.Compare(a.Name, b.Name),
			cmp.Compare(a.File.Name, b.File.Name), cmp.Compare(a.At.Start, b.At.Start))
	})
	var out []FoundSymbol
	for _, h := range hits[:min(len(hits), mostSymbols)] {
		out = append(out, h.FoundSymbol)
	}
	return out, nil
}
