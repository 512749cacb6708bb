package server

import (
	"context"
	"encoding/json"
	"slices"

	"go.lsp.dev/protocol"
	"go.lsp.dev/uri"

	"pintle/lang/diag"
	"pintle/lang/source"
	"pintle/lsp/convert"
	"pintle/lsp/ide/action"
)

func codeAction() Feature {
	return OnDocument("textDocument/codeAction",
		func(caps *protocol.ServerCapabilities, c *Client) {
			// A client without it takes commands only, and there are none that edit.
			if !c.Says("textDocument.codeAction.codeActionLiteralSupport") {
				return
			}
			o := &protocol.CodeActionOptions{}
			for _, k := range action.ActionKinds() {
				o.CodeActionKinds = append(o.CodeActionKinds, protocol.CodeActionKind(k))
			}
			if resolvesActions(c) {
				yes := true
				o.ResolveProvider = &yes
			}
			caps.CodeActionProvider = o
		},
		func(p *protocol.CodeActionParams) uri.URI { return p.TextDocument.URI },
		func(ctx context.Context, r *Request, p *protocol.CodeActionParams) ([]protocol.CommandOrCodeAction, error) {
			span := r.Text.Span(p.Range)
			want := action.ActionRequest{
				Span:  span,
				Asked: p.Context.TriggerKind != protocol.CodeActionTriggerKindAutomatic && r.Client.Can("textDocument.codeAction.disabledSupport"),
			}
			for _, k := range p.Context.Only {
				want.Only = append(want.Only, action.ActionKind(k))
			}
			known, _, err := r.Snapshot.FirstFindings(ctx, r.View.Src().Name)
			if err != nil {
				return nil, err
			}
			want.Findings = r.meant(p, span, known, want.Only)
			list, err := action.Actions(ctx, r.View, want)
			if err != nil {
				return nil, err
			}
			out := []protocol.CommandOrCodeAction{}
			for i := range list {
				a, err := r.action(ctx, &list[i], p, span)
				if err != nil {
					return nil, err
				}
				if a != nil {
					out = append(out, a)
				}
			}
			return out, nil
		})
}

// resolvesActions reports whether the client asks for the edit of an action when it is taken.
func resolvesActions(c *Client) bool {
	return c.Can("textDocument.codeAction.dataSupport") &&
		slices.Contains(c.Words("textDocument.codeAction.resolveSupport.properties"), "edit")
}

// meant are the findings that actions are wanted for: all, where the whole text is to be
// corrected, else those that the client names and those that the stretch touches.
func (r *Request) meant(p *protocol.CodeActionParams, span source.Span, known []diag.Finding, only []action.ActionKind) []diag.Finding {
	if slices.ContainsFunc(only, func(k action.ActionKind) bool { return k != "" && k.Holds(action.FixAll) }) {
		return known
	}
	var named []diag.Finding
	for i := range p.Context.Diagnostics {
		named = append(named, convert.Find(r.Text, &p.Context.Diagnostics[i], known)...)
	}
	var out []diag.Finding
	for _, f := range known {
		touches := f.Start <= span.End && span.Start <= f.End
		if touches || slices.ContainsFunc(named, func(n diag.Finding) bool { return diag.Compare(n, f) == 0 }) {
			out = append(out, f)
		}
	}
	return out
}

// action converts one; nil for one that turns out not to be possible.
func (r *Request) action(ctx context.Context, a *action.Action, p *protocol.CodeActionParams, span source.Span) (*protocol.CodeAction, error) {
	kind := protocol.CodeActionKind(a.Kind)
	out := &protocol.CodeAction{Title: a.Title, Kind: &kind}
	if a.Preferred && r.Client.Can("textDocument.codeAction.isPreferredSupport") {
		out.IsPreferred = &a.Preferred
	}
	for i := range p.Context.Diagnostics {
		if len(convert.Find(r.Text, &p.Context.Diagnostics[i], a.Clears)) > 0 {
			out.Diagnostics = append(out.Diagnostics, p.Context.Diagnostics[i])
		}
	}
	switch {
	case a.Disabled != "":
		out.Disabled = protocol.CodeActionDisabled{Reason: a.Disabled}
		return out, nil
	case a.Wants != action.Nothing:
		name := map[action.Want]string{action.Answer: commandAsk, action.Tables: commandDecisions, action.Comparison: commandCompare}[a.Wants]
		args := commandArgs{URI: p.TextDocument.URI, Since: a.Since, Show: true}
		if a.Question != "" {
			args.Questions = []string{a.Question}
		}
		ask, err := command(a.Title, name, args)
		out.Command = ask
		return out, err
	case a.Make != nil && resolvesActions(r.Client):
		data := actionData{URI: p.TextDocument.URI, Start: span.Start, End: span.End, Kind: a.Kind, Title: a.Title}
		if v, ok := r.Version(r.View.Src().Name); ok {
			data.Version = &v
		}
		raw, err := json.Marshal(data)
		if err != nil {
			return nil, err
		}
		out.Data = protocol.LSPAny(raw)
		return out, nil
	}
	edits, err := a.Change(ctx)
	if err != nil {
		return nil, ctx.Err() // what can't be done after all is not offered
	}
	out.Edit = r.WorkspaceEdit(edits)
	return out, nil
}
