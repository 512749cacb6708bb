package lens

import (
	"cmp"
	"context"
	"math"
	"slices"

	"pintle/checker/question/evidence"
	"pintle/checker/rule"
	"pintle/lang/model"
	"pintle/lang/source"
	"pintle/lsp/ide"
	"pintle/lsp/ide/navigate"
)

// PathItem is a piece of a current's way: what an editor shows as a caller or callee.
type PathItem struct {
	Name, Detail string
	Kind         navigate.SymbolKind
	File         *source.File
	Full, At     source.Span
	Key          PathKey
}

// PathKey finds the piece again. It is plain data that a client carries about.
type PathKey struct {
	Root   string `json:"root"`   // the file of the design
	Design string `json:"design"` // its name
	// Origin is the element whose current is followed, in the state in which most of it
	// runs; Piece the element, or with Node the point, that this item is.
	Origin Piece `json:"origin"`
	Piece  Piece `json:"piece"`
	Node   bool  `json:"node,omitempty"`
}

// Piece names an element or node by its number, and by its path in case the design has
// changed since.
type Piece struct {
	ID   int    `json:"id"`
	Path string `json:"path"`
}

// PathCall is a step of the way, with the places in the file of its item that show it.
type PathCall struct {
	Item PathItem
	At   []source.Span
}

// PrepareCurrent finds the pieces of circuits that the name at a byte offset stands for.
func PrepareCurrent(ctx context.Context, v *ide.View, off int) ([]PathItem, error) {
	x, err := v.Index(ctx)
	if err != nil {
		return nil, err
	}
	def, _ := ide.DefinitionAt(x, v.Tree, off)
	if def == nil {
		return nil, nil
	}
	read, err := v.Read(ctx)
	if err != nil {
		return nil, err
	}
	d, list := ide.DesignOf(read.Designs, def, ide.PathTo(ide.FindSpot(v.Tree, off)))
	if d == nil {
		return nil, nil
	}
	var out []PathItem
	for _, t := range list[:min(len(list), mostPieces)] {
		for _, p := range pieces(d, t) {
			if t.Table != ide.TableNode {
				out = append(out, item(v.Root.Name(), d, p, p, false, 0))
				continue
			}
			// The current through a point is that of the element that carries most.
			origin := model.ElementID(model.None)
			err := v.Ask(ctx, d, func(p *rule.Pass) { origin = mostAt(ctx, p, model.NodeID(t.ID)) })
			if ctx.Err() != nil {
				return nil, ctx.Err()
			}
			if err == nil && origin != model.None {
				out = append(out, item(v.Root.Name(), d, int(origin), t.ID, true, 0))
			}
		}
	}
	return out, nil
}

// trickle is the share of the largest current at a point below which another one there is
// left out.
const trickle = 1e-3

// mostPieces is how many fits of a part one may follow the current of at once.
const mostPieces = 20

// pieces are the elements that a thing consists of, or the number of a node.
func pieces(d *model.Design, t ide.Thing) []int {
	switch t.Table {
	case ide.TableNode:
		return []int{t.ID}
	case ide.TableFit:
		var out []int
		for i := range d.Elements {
			e := &d.Elements[i]
			if (e.Type == model.ElemLoad || e.Type == model.ElemCoil || e.Type == model.ElemDraw) && e.Fit == model.FitID(t.ID) {
				out = append(out, i)
			}
		}
		return out
	case ide.TableContact:
		c := &d.Contacts[t.ID]
		var out []int
		for _, e := range [...]model.ElementID{c.RestElem, c.WorkElem} {
			if e != model.None {
				out = append(out, int(e))
			}
		}
		return out
	}
	if e := ide.ElementOf(d, t); e != model.None {
		return []int{int(e)}
	}
	return nil
}

// mostAt is the element at a node through which most current ever runs.
func mostAt(ctx context.Context, p *rule.Pass, n model.NodeID) model.ElementID {
	best, amps := model.ElementID(model.None), -1.0
	for i := range p.Design.Elements {
		e := &p.Design.Elements[i]
		if e.A != n && e.B != n || e.Broken {
			continue
		}
		b := ide.Busiest(p, model.ElementID(i))
		x := 0.0
		if b != nil {
			x = math.Abs(b.Highest)
		}
		if x > amps {
			best, amps = model.ElementID(i), x
		}
	}
	return best
}

// item makes an item of an element or node.
func item(root string, d *model.Design, origin, id int, node bool, amps float64) PathItem {
	it := PathItem{Kind: navigate.SymbolWire, Key: PathKey{Root: root, Design: d.Name, Node: node}}
	it.Key.Origin = Piece{origin, d.Elements[origin].Path}
	var info *model.Info
	if node {
		info = &d.Nodes[id].Info
		it.Kind, it.Name = navigate.SymbolPin, info.Path
	} else {
		e := &d.Elements[id]
		info, it.Name = &e.Info, evidence.Thing(d, e)
		if e.Type != model.ElemWire && e.Type != model.ElemConnector {
			it.Kind = navigate.SymbolThing
		}
	}
	it.Detail = info.Kind
	it.Key.Piece = Piece{id, info.Path}
	if amps != 0 {
		it.Detail += ", " + evidence.Amps(amps)
	}
	it.File = info.NamePlace.File
	it.At = info.NamePlace.Span
	it.Full = info.Place.Span
	if it.File == nil {
		it.File, it.At = info.Place.File, info.Place.Span
	}
	it.Full = it.Full.Join(it.At)
	if info.Place.File != it.File {
		it.Full = it.At
	}
	return it
}

// Feeds lists what the current of an item comes from: the pieces before it.
func Feeds(ctx context.Context, w ide.Workspace, k PathKey) ([]PathCall, error) {
	return neighbours(ctx, w, k, true)
}

// Returns lists where the current of an item goes on to, at the end to ground.
func Returns(ctx context.Context, w ide.Workspace, k PathKey) ([]PathCall, error) {
	return neighbours(ctx, w, k, false)
}

func neighbours(ctx context.Context, w ide.Workspace, k PathKey, before bool) ([]PathCall, error) {
	r, err := w.Root(ctx, k.Root)
	if err != nil || r == nil {
		return nil, err
	}
	read, err := r.Read(ctx)
	if err != nil {
		return nil, err
	}
	i := slices.IndexFunc(read.Designs, func(d *model.Design) bool { return d.Name == k.Design })
	if i < 0 {
		return nil, nil
	}
	d := read.Designs[i]
	origin, ok := k.Origin.element(d)
	if !ok {
		return nil, nil
	}
	var out []PathCall
	err = r.Ask(ctx, d, func(p *rule.Pass) {
		f := &follower{ctx: ctx, p: p, d: d, origin: origin}
		if k.Node {
			if n, ok := k.Piece.node(d); ok {
				f.atNode(n, before, model.None)
			}
		} else if e, ok := k.Piece.element(d); ok {
			f.from(e, before)
		}
		for _, s := range f.found {
			it := item(r.Name(), d, int(origin), s.id, s.node, s.amps)
			out = append(out, PathCall{Item: it, At: []source.Span{it.At}})
		}
	})
	if ctx.Err() != nil {
		return nil, ctx.Err()
	}
	if err != nil {
		return nil, &ide.RefusedError{Why: err.Error()}
	}
	return out, nil
}

func (p Piece) element(d *model.Design) (model.ElementID, bool) {
	if p.ID >= 0 && p.ID < len(d.Elements) && d.Elements[p.ID].Path == p.Path {
		return model.ElementID(p.ID), true
	}
	i := slices.IndexFunc(d.Elements, func(e model.Element) bool { return e.Path == p.Path })
	return model.ElementID(i), i >= 0
}

func (p Piece) node(d *model.Design) (model.NodeID, bool) {
	if p.ID >= 0 && p.ID < len(d.Nodes) && d.Nodes[p.ID].Path == p.Path {
		return model.NodeID(p.ID), true
	}
	i := slices.IndexFunc(d.Nodes, func(n model.Node) bool { return n.Path == p.Path })
	return model.NodeID(i), i >= 0
}

// follower follows a current.
type follower struct {
	ctx    context.Context
	p      *rule.Pass
	d      *model.Design
	origin model.ElementID
	found  []followed
}

type followed struct {
	id   int
	node bool
	amps float64
}

// from finds the pieces before or behind an element.
func (f *follower) from(e model.ElementID, before bool) {
	b := ide.Busiest(f.p, f.origin)
	el := &f.d.Elements[e]
	if b == nil || !b.Carries(e) {
		f.byMetal(e, before)
		return
	}
	if el.Type == model.ElemSupply {
		return // a current begins and ends in its supply
	}
	in, out := el.A, el.B
	if b.Amps(e) < 0 {
		in, out = out, in
	}
	n := out
	if before {
		n = in
	}
	f.at(b, n, before, e)
}

// atNode finds what brings current to a point, or takes it away.
func (f *follower) atNode(n model.NodeID, before bool, but model.ElementID) {
	b := ide.Busiest(f.p, f.origin)
	if b != nil {
		f.at(b, n, before, but)
	}
}

func (f *follower) at(b *ide.Busy, n model.NodeID, before bool, but model.ElementID) {
	if n == f.d.Ground && !before {
		if but != model.None {
			f.found = append(f.found, followed{id: int(n), node: true})
		}
		return
	}
	for i := range f.d.Elements {
		e := &f.d.Elements[i]
		id := model.ElementID(i)
		if id == but || e.A != n && e.B != n || e.A == e.B || !b.Carries(id) {
			continue
		}
		arrives := (b.Amps(id) > 0) == (e.B == n)
		if arrives == before {
			f.found = append(f.found, followed{id: i, amps: b.Amps(id)})
		}
	}
	// What trickles through the filaments of others is not what one looks for.
	most := 0.0
	for _, x := range f.found {
		most = max(most, math.Abs(x.amps))
	}
	f.found = slices.DeleteFunc(f.found, func(x followed) bool { return math.Abs(x.amps) < trickle*most })
	slices.SortStableFunc(f.found, func(a, b followed) int { return -cmp.Compare(math.Abs(a.amps), math.Abs(b.amps)) })
}

// byMetal finds the way that a current would take if any ran: where none ever does, that
// is what one looks for.
func (f *follower) byMetal(e model.ElementID, before bool) {
	c := f.p.Circuit()
	o := &f.d.Elements[f.origin]
	for _, ends := range [...][2]model.NodeID{{o.A, o.B}, {o.B, o.A}} {
		feed, fed := c.FeedWay(ends[0], f.origin)
		back, returns := c.GroundWay(ends[1], f.origin)
		if !fed && !returns {
			continue
		}
		way := slices.Clone(feed)
		slices.Reverse(way)
		way = append(append(way, f.origin), back...)
		i := slices.Index(way, e)
		switch {
		case i < 0:
		case before && i > 0:
			f.found = append(f.found, followed{id: int(way[i-1])})
		case !before && i < len(way)-1:
			f.found = append(f.found, followed{id: int(way[i+1])})
		case !before && returns && f.d.Ground != model.None:
			f.found = append(f.found, followed{id: int(f.d.Ground), node: true})
		}
		return
	}
}
