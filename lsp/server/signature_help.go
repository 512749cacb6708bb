package server

import (
	"context"
	"unicode/utf16"

	"go.lsp.dev/protocol"
	"go.lsp.dev/uri"

	"pintle/lang/source"
	"pintle/lsp/ide/complete"
)

func signatureHelp() Feature {
	return OnDocument("textDocument/signatureHelp",
		func(caps *protocol.ServerCapabilities, _ *Client) {
			caps.SignatureHelpProvider = &protocol.SignatureHelpOptions{TriggerCharacters: []string{"(", ","}}
		},
		func(p *protocol.SignatureHelpParams) uri.URI { return p.TextDocument.URI },
		func(ctx context.Context, r *Request, p *protocol.SignatureHelpParams) (*protocol.SignatureHelp, error) {
			s, err := complete.SignatureAt(ctx, r.View, r.Offset(p.Position))
			if s == nil || err != nil {
				return nil, err
			}
			const info = "textDocument.signatureHelp.signatureInformation."
			out := protocol.SignatureInformation{Label: s.Label}
			if len(s.Doc) > 0 {
				out.Documentation = r.Markup(info+"documentationFormat", s.Doc)
			}
			offsets := r.Client.Can(info + "parameterInformation.labelOffsetSupport")
			for _, a := range s.Parameters {
				q := protocol.ParameterInformation{Label: protocol.String(s.Label[a.Span.Start:a.Span.End])}
				if offsets {
					q.Label = labelOffsets(s.Label, a.Span)
				}
				if len(a.Doc) > 0 {
					q.Documentation = r.Markup(info+"documentationFormat", a.Doc)
				}
				out.Parameters = append(out.Parameters, q)
			}
			help := &protocol.SignatureHelp{Signatures: []protocol.SignatureInformation{out}, ActiveSignature: new(uint32)}
			switch {
			case s.Active >= 0:
				help.ActiveParameter = protocol.NewNullable(uint32(s.Active))
			case r.Client.Can("textDocument.signatureHelp.noActiveParameterSupport"):
				help.ActiveParameter = protocol.NullNullable[uint32]()
			default:
				help.ActiveParameter = protocol.NewNullable(uint32(len(s.Parameters))) // outside: the protocol then means none
			}
			return help, nil
		})
}

// labelOffsets counts a span of a label in UTF-16, as the protocol asks for here whatever
// the encoding of positions.
func labelOffsets(label string, s source.Span) protocol.ParameterInformationLabelTuple {
	count := func(text string) uint32 { return uint32(len(utf16.Encode([]rune(text)))) }
	return protocol.ParameterInformationLabelTuple{count(label[:s.Start]), count(label[:s.End])}
}
