package server

import (
	"context"
	"encoding/json"
	"fmt"
	"maps"
	"path"
	"slices"
	"strings"

	"go.lsp.dev/protocol"
	"go.lsp.dev/uri"

	"pintle/checker/run"
	"pintle/lang/diag"
	"pintle/lang/escape"
	"pintle/lsp/ide"
	"pintle/lsp/ide/lens"
	"pintle/lsp/ide/navigate"
	"pintle/lsp/server/rpc"
)

// The commands. Each takes one object, see commandArgs.
const (
	commandDrive      = "pintle.drive"      // runs a drive; returns an lens.DriveOutcome
	commandReferences = "pintle.references" // returns locations and text
	commandFaults     = "pintle.faults"     // returns the single faults of a fit and text
	commandTable      = "pintle.faultTable" // returns what single faults do, and text
	commandAsk        = "pintle.ask"        // answers questions; returns data and text
	commandDecisions  = "pintle.table"      // makes decision tables; returns data and text
	commandCompare    = "pintle.compare"    // compares with an older text; returns data and text
)

// commandArgs is what a command is about.
type commandArgs struct {
	URI uri.URI `json:"uri"`
	// Drive is the name of one; without it, the drive that At is in.
	Drive string             `json:"drive,omitempty"`
	At    *protocol.Position `json:"at,omitempty"`
	// Questions, the condition that holds for all of them, the fault that is there, and the
	// positions of options, as `pintle ask` takes them.
	Questions []string          `json:"questions,omitempty"`
	Given     string            `json:"given,omitempty"`
	Fault     string            `json:"fault,omitempty"`
	Options   map[string]string `json:"options,omitempty"`
	// Columns and Over are what a decision table shows, as `pintle table` takes them.
	Columns []string `json:"columns,omitempty"`
	Over    []string `json:"over,omitempty"`
	// Since is the revision of the repository that is compared with; empty: the saved file.
	Since string `json:"since,omitempty"`
	// Show: the client does nothing with the result; the server shows it to the person.
	Show bool `json:"show,omitempty"`
}

// answered is what a command found out.
type answered struct {
	result any // for programs
	// For people: a title that names the question, the whole, and one sentence that may be the
	// whole.
	title, text, summary string
}

// doer works out the answer of a command at a byte offset of a document.
type doer func(context.Context, *Request, *ide.View, int, *commandArgs) (*answered, error)

// commands is the table of them.
func commands() map[string]doer {
	return map[string]doer{
		commandDrive: runDrive, commandReferences: listReferences, commandFaults: listFaults,
		commandTable: tabulateFaults, commandAsk: askQuestions, commandDecisions: makeTables, commandCompare: compareWith,
	}
}

func executeCommand() Feature {
	known := commands()
	return OnWorkspace("workspace/executeCommand",
		func(caps *protocol.ServerCapabilities, _ *Client) {
			caps.ExecuteCommandProvider = protocol.ExecuteCommandOptions{Commands: slices.Sorted(maps.Keys(known))}
		},
		func(ctx context.Context, r *Request, p *protocol.ExecuteCommandParams) (any, error) {
			do := known[p.Command]
			if do == nil {
				return nil, rpc.Errorf(rpc.InvalidParams, "there is no command %q", p.Command)
			}
			var args commandArgs
			if len(p.Arguments) == 0 || json.Unmarshal(p.Arguments[0], &args) != nil || args.URI == "" {
				return nil, rpc.Errorf(rpc.InvalidParams, "%s takes an object with the uri of a document", p.Command)
			}
			view, err := r.ViewOf(ctx, args.URI)
			if err != nil {
				return nil, err
			}
			if view == nil {
				return nil, rpc.Errorf(rpc.InvalidParams, "there is no design %s", args.URI)
			}
			r.View, r.Text = view, r.Encoding.Text(view.Src())
			off := 0
			if args.At != nil {
				off = r.Offset(*args.At)
			}
			progress := r.Progress(p.WorkDoneToken, "Pintle")
			defer progress.End()
			a, err := do(ctx, r, view, off, &args)
			if err != nil {
				return nil, err
			}
			if args.Show {
				r.show(args.URI, a)
			}
			return a.result, nil
		})
}

func runDrive(ctx context.Context, _ *Request, v *ide.View, off int, args *commandArgs) (*answered, error) {
	if args.Drive == "" && args.At == nil {
		return nil, rpc.Errorf(rpc.InvalidParams, "say which drive: by its name, or by a position in it")
	}
	out, err := lens.RunDrive(ctx, v, args.Drive, off)
	if err != nil {
		return nil, err
	}
	if out == nil {
		return nil, rpc.Errorf(rpc.InvalidParams, "there is no such drive in %s", args.URI)
	}
	out.Text = escape.Lines(out.Text)
	return &answered{out, "drive " + out.Drive, out.Text, out.Summary()}, nil
}

// foundPlaces is what pintle.references returns.
type foundPlaces struct {
	Locations []protocol.Location `json:"locations"`
	Text      string              `json:"text"`
}

func listReferences(ctx context.Context, r *Request, v *ide.View, off int, _ *commandArgs) (*answered, error) {
	places, err := navigate.References(ctx, v, off, false)
	if err != nil {
		return nil, err
	}
	text := lens.ReferencesTitle(places)
	if len(places) > 0 {
		text += ": " + strings.Join(lines(v, places), ", ")
	}
	text = escape.Lines(text)
	return &answered{&foundPlaces{r.Locations(places), text}, "", text, text}, nil
}

// lines names the lines of places, those of one file once each.
func lines(v *ide.View, places []diag.Place) []string {
	var out []string
	for _, p := range places {
		text := fmt.Sprintf("%s:%d", ide.Shown(p.File.Name, v.Workspace.Folders()), p.File.Position(p.Start).Line)
		if len(out) == 0 || out[len(out)-1] != text {
			out = append(out, text)
		}
	}
	return out
}

// foundFaults is what pintle.faults returns.
type foundFaults struct {
	Faults []foundFault `json:"faults"`
	Text   string       `json:"text"`
}

type foundFault struct {
	Text    string `json:"text"`    // "K1.main welded"
	Subject string `json:"subject"` // "K1.main"
	Step    string `json:"step"`    // as a step of a drive says it
}

func listFaults(ctx context.Context, _ *Request, v *ide.View, off int, _ *commandArgs) (*answered, error) {
	fit, list, err := lens.FaultsOf(ctx, v, off)
	if err != nil {
		return nil, err
	}
	if fit == nil {
		return nil, rpc.Errorf(rpc.InvalidParams, "there is no fit at that place")
	}
	out := &foundFaults{Faults: []foundFault{}}
	words := make([]string, len(list))
	for i := range list {
		out.Faults = append(out.Faults, foundFault{list[i].Words, list[i].Subject, list[i].Step()})
		words[i] = list[i].Words
	}
	out.Text = fit.Name + ": " + lens.FaultsTitle(len(list))
	if len(list) > 0 {
		out.Text += ": " + strings.Join(words, ", ")
	}
	out.Text = escape.Lines(out.Text)
	return &answered{out, "", out.Text, out.Text}, nil
}

// faultTable is what pintle.faultTable returns.
type faultTable struct {
	Tables json.RawMessage `json:"tables"` // as `pintle faults --as json` prints them
	Text   string          `json:"text"`
}

func tabulateFaults(ctx context.Context, _ *Request, v *ide.View, off int, _ *commandArgs) (*answered, error) {
	t, err := lens.FaultTableOf(ctx, v, off)
	if err != nil {
		return nil, err
	}
	if t == nil {
		return nil, rpc.Errorf(rpc.InvalidParams, "there is no fit, symptom or requirement at that place")
	}
	text := escape.Lines(string(t.Text))
	return &answered{&faultTable{plainJSON(t.JSON), text}, "faults of " + t.Name, text, t.Name + ": what single faults do"}, nil
}

// foundAnswers is what pintle.ask returns.
type foundAnswers struct {
	Answers json.RawMessage `json:"answers"` // as `pintle ask --as json` prints them
	Text    string          `json:"text"`
}

func askQuestions(ctx context.Context, _ *Request, v *ide.View, _ int, args *commandArgs) (*answered, error) {
	if len(args.Questions) == 0 {
		return nil, rpc.Errorf(rpc.InvalidParams, "%s takes questions", commandAsk)
	}
	form, text, err := lens.Ask(ctx, v, run.AskRequest{
		OpenRequest: run.OpenRequest{Options: args.Options}, Questions: args.Questions, Given: args.Given, Fault: args.Fault,
	})
	if err != nil {
		return nil, err
	}
	out := &foundAnswers{plainJSON(form), escape.Lines(string(text))}
	return &answered{out, "ask " + strings.Join(args.Questions, " "), out.Text, strings.Join(args.Questions, "; ") + ": answered"}, nil
}

// foundTables is what pintle.table returns.
type foundTables struct {
	Tables json.RawMessage `json:"tables"` // as `pintle table --as json` prints them
	Text   string          `json:"text"`
}

func makeTables(ctx context.Context, _ *Request, v *ide.View, _ int, args *commandArgs) (*answered, error) {
	form, text, err := lens.Table(ctx, v, run.TableRequest{
		OpenRequest: run.OpenRequest{Options: args.Options}, Show: args.Columns, Over: args.Over, Given: args.Given, Fault: args.Fault,
	})
	if err != nil {
		return nil, err
	}
	out := &foundTables{plainJSON(form), escape.Lines(string(text))}
	return &answered{out, "tables of " + path.Base(v.Root.Name()), out.Text, "the decision tables are made"}, nil
}

// foundDifferences is what pintle.compare returns.
type foundDifferences struct {
	Comparison json.RawMessage `json:"comparison"` // as `pintle compare --as json` prints it
	Text       string          `json:"text"`
}

func compareWith(ctx context.Context, _ *Request, v *ide.View, _ int, args *commandArgs) (*answered, error) {
	form, text, err := lens.Compare(ctx, v, args.Since, args.Options)
	if err != nil {
		return nil, err
	}
	with := "the saved file"
	if args.Since != "" {
		with = args.Since
	}
	out := &foundDifferences{plainJSON(form), escape.Lines(string(text))}
	return &answered{out, path.Base(v.Root.Name()) + " and " + with, out.Text, "compared with " + with}, nil
}
