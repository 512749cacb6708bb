package dc

import "slices"

// Joined reports whether a and b are joined, with the given switches closed, through
// branches that through accepts, and returns the shortest list of them, in order from
// a to b; of equally short ones the one with the lowest branch numbers first. The
// direction of diodes does not matter here. A node is joined to itself by nothing.
func (c *Compiled) Joined(closed Bits, a, b Node, through func(branch int) bool) ([]int, bool) {
	n := Node(c.net.Nodes)
	if a < 0 || b < 0 || a >= n || b >= n {
		return nil, false
	}
	at := make([][]int, n)
	for i, br := range c.net.Branches {
		if (br.Switch < 0 || closed.Has(br.Switch)) && br.A != br.B && through(i) {
			at[br.A] = append(at[br.A], i)
			at[br.B] = append(at[br.B], i)
		}
	}
	other := func(branch int, end Node) Node {
		br := &c.net.Branches[branch]
		return br.A + br.B - end
	}
	via := make([]int, n) // branch by which a node was reached, plus one
	seen := make([]bool, n)
	seen[a] = true
	for queue := []Node{a}; len(queue) > 0 && !seen[b]; queue = queue[1:] {
		for _, i := range at[queue[0]] {
			if next := other(i, queue[0]); !seen[next] {
				seen[next], via[next] = true, i+1
				queue = append(queue, next)
			}
		}
	}
	if !seen[b] {
		return nil, false
	}
	var out []int
	for v := b; v != a; v = other(via[v]-1, v) {
		out = append(out, via[v]-1)
	}
	slices.Reverse(out)
	return out, true
}
