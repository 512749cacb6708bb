package server

import (
	"context"
	"strconv"
	"sync"

	"go.lsp.dev/protocol"
	"go.lsp.dev/uri"

	"pintle/lang/source"
	"pintle/lsp/convert"
	"pintle/lsp/ide/show"
)

// semanticTokens answers for a whole text, for what changed in it since, and for a
// stretch.
func semanticTokens() []Feature {
	given := &givenTokens{by: map[string]tokenResult{}}
	return []Feature{
		OnDocument("textDocument/semanticTokens/full",
			func(caps *protocol.ServerCapabilities, c *Client) {
				o := &protocol.SemanticTokensOptions{Legend: convert.TokenLegend(), Range: protocol.Boolean(true), Full: protocol.Boolean(true)}
				if c.Can("textDocument.semanticTokens.requests.full.delta") {
					yes := true
					o.Full = &protocol.SemanticTokensFullDelta{Delta: &yes}
				}
				caps.SemanticTokensProvider = o
			},
			func(p *protocol.SemanticTokensParams) uri.URI { return p.TextDocument.URI },
			func(ctx context.Context, r *Request, _ *protocol.SemanticTokensParams) (*protocol.SemanticTokens, error) {
				data, err := r.tokens(ctx, source.Span{Start: 0, End: len(r.View.Src().Text)})
				if err != nil {
					return nil, err
				}
				_, id := given.exchange(r.View.Src().Name, "", data)
				return &protocol.SemanticTokens{ResultID: &id, Data: data}, nil
			}),
		OnDocument("textDocument/semanticTokens/full/delta", nil,
			func(p *protocol.SemanticTokensDeltaParams) uri.URI { return p.TextDocument.URI },
			func(ctx context.Context, r *Request, p *protocol.SemanticTokensDeltaParams) (protocol.SemanticTokensDeltaResult, error) {
				data, err := r.tokens(ctx, source.Span{Start: 0, End: len(r.View.Src().Text)})
				if err != nil {
					return nil, err
				}
				old, id := given.exchange(r.View.Src().Name, p.PreviousResultID, data)
				if old == nil {
					return &protocol.SemanticTokens{ResultID: &id, Data: data}, nil
				}
				return &protocol.SemanticTokensDelta{ResultID: &id, Edits: convert.TokensDelta(old, data)}, nil
			}),
		OnDocument("textDocument/semanticTokens/range", nil,
			func(p *protocol.SemanticTokensRangeParams) uri.URI { return p.TextDocument.URI },
			func(ctx context.Context, r *Request, p *protocol.SemanticTokensRangeParams) (*protocol.SemanticTokens, error) {
				data, err := r.tokens(ctx, r.Text.Span(p.Range))
				if err != nil {
					return nil, err
				}
				return &protocol.SemanticTokens{Data: data}, nil
			}),
	}
}

func (r *Request) tokens(ctx context.Context, span source.Span) ([]uint32, error) {
	list, err := show.Tokens(ctx, r.View, span)
	if err != nil {
		return nil, err
	}
	return convert.Tokens(r.Text, list), nil
}

// mostGiven is how many documents the last tokens are kept of.
const mostGiven = 64

// givenTokens are the last tokens that the client was given of each document.
type givenTokens struct {
	mu    sync.Mutex
	by    map[string]tokenResult
	count uint64
}

type tokenResult struct {
	id   string
	at   uint64
	data []uint32
}

// exchange keeps new tokens under a new id and returns those of an earlier id, nil if they
// are not at hand.
func (g *givenTokens) exchange(name, earlier string, data []uint32) (old []uint32, id string) {
	g.mu.Lock()
	defer g.mu.Unlock()
	if was, ok := g.by[name]; ok && was.id == earlier {
		old = was.data
	}
	g.count++
	id = strconv.FormatUint(g.count, 10)
	g.by[name] = tokenResult{id, g.count, data}
	for len(g.by) > mostGiven {
		oldest := ""
		for n, r := range g.by {
			if oldest == "" || r.at < g.by[oldest].at {
				oldest = n
			}
		}
		delete(g.by, oldest)
	}
	return old, id
}
