package syntax

import "pintle/lang/source"

// Extent returns where the node stands.
func (w *Word) Extent() source.Span     { return w.Span }
func (s *Str) Extent() source.Span      { return s.Span }
func (r *Ref) Extent() source.Span      { return r.Span }
func (r *Refs) Extent() source.Span     { return r.Span }
func (f *Faults) Extent() source.Span   { return f.Span }
func (q *Quantity) Extent() source.Span { return q.Span }
func (c *Count) Extent() source.Span    { return c.Span }
func (d *Date) Extent() source.Span     { return d.Span }
func (c *Call) Extent() source.Span     { return c.Span }
func (a *Args) Extent() source.Span     { return a.Span }
func (s *Subject) Extent() source.Span  { return s.Span }
func (c *Cond) Extent() source.Span     { return c.Span }
