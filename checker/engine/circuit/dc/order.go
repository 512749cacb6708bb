package dc

import (
	"container/heap"
	"fmt"
	"slices"
)

// maxPairs bounds the update list of a plan: 32 Mi entries, 128 MiB. A wiring
// network stays thousands of times below it; a full mesh reaches it at 580 nodes.
const maxPairs = 1 << 25

// plan is the order of elimination and the place of every number that the
// elimination will touch. It depends on which branches exist, not on their values,
// and holds for every switch state.
//
// Nodes are renamed to their place in the order. Column k lists in row[start[k]:
// start[k+1]], ascending, the nodes that k is joined to when its turn comes, by
// branches or by earlier eliminations; each such pair is one cell. into lists from
// pairs[k] on, for every two cells of column k, the cell of the pair that they update.
type plan struct {
	pos   []int32 // node -> place
	start []int32
	row   []int32
	pairs []int
	into  []int32
}

// newPlan orders by minimum degree (George and Liu, Computer Solution of Large
// Sparse Positive Definite Systems, 1981, ch. 5): the node with the fewest
// neighbours goes first, ties to the lowest number. Ends of wires go first and
// ground, joined to everything, goes last.
func newPlan(nodes int, branches []Branch) (*plan, error) {
	adj := make([][]int32, nodes)
	for _, b := range branches {
		if b.A != b.B {
			adj[b.A] = append(adj[b.A], int32(b.B))
			adj[b.B] = append(adj[b.B], int32(b.A))
		}
	}
	queue := make(degreeQueue, nodes)
	for v := range adj {
		slices.Sort(adj[v])
		adj[v] = slices.Compact(adj[v])
		queue[v] = degreeOf{len(adj[v]), int32(v)}
	}
	heap.Init(&queue)

	p := &plan{pos: make([]int32, nodes), start: make([]int32, 1, nodes+1), pairs: make([]int, 1, nodes+1)}
	done := make([]bool, nodes)
	for k := int32(0); len(queue) > 0; {
		next := heap.Pop(&queue).(degreeOf)
		v := next.node
		if done[v] || next.degree != len(adj[v]) {
			continue // an entry that a later one replaced
		}
		done[v] = true
		p.pos[v] = k
		k++
		around := adj[v]
		p.row = append(p.row, around...)
		p.start = append(p.start, int32(len(p.row)))
		total := p.pairs[len(p.pairs)-1] + len(around)*(len(around)-1)/2
		if total > maxPairs {
			return nil, fmt.Errorf("%w: more than %d updates for %d nodes", ErrTooMeshed, maxPairs, nodes)
		}
		p.pairs = append(p.pairs, total)
		for _, u := range around {
			adj[u] = join(adj[u], around, u, v)
			heap.Push(&queue, degreeOf{len(adj[u]), u})
		}
	}
	p.rename()
	return p, nil
}

// join returns the sorted set without gone and with all of more but self.
func join(set, more []int32, self, gone int32) []int32 {
	if i, found := slices.BinarySearch(set, gone); found {
		set = slices.Delete(set, i, i+1)
	}
	for _, m := range more {
		if m == self {
			continue
		}
		if i, found := slices.BinarySearch(set, m); !found {
			set = slices.Insert(set, i, m)
		}
	}
	return set
}

// rename turns the rows from node numbers into places and fills into.
func (p *plan) rename() {
	n := len(p.pos)
	for k := range n {
		col := p.column(k)
		for i, v := range col {
			col[i] = p.pos[v]
		}
		slices.Sort(col)
	}
	p.into = make([]int32, p.pairs[n])
	t := 0
	for k := range n {
		col := p.column(k)
		for i, r := range col {
			for _, s := range col[i+1:] {
				p.into[t] = p.cell(r, s)
				t++
			}
		}
	}
}

func (p *plan) column(k int) []int32 { return p.row[p.start[k]:p.start[k+1]] }

// cell returns the cell of the pair of places r < s, which must exist.
func (p *plan) cell(r, s int32) int32 {
	i, _ := slices.BinarySearch(p.column(int(r)), s)
	return p.start[r] + int32(i)
}

type degreeOf struct {
	degree int
	node   int32
}

type degreeQueue []degreeOf

func (q degreeQueue) Len() int { return len(q) }
func (q degreeQueue) Less(i, j int) bool {
	if q[i].degree != q[j].degree {
		return q[i].degree < q[j].degree
	}
	return q[i].node < q[j].node
}
func (q degreeQueue) Swap(i, j int) { q[i], q[j] = q[j], q[i] }
func (q *degreeQueue) Push(x any)   { *q = append(*q, x.(degreeOf)) }
func (q *degreeQueue) Pop() any {
	last := (*q)[len(*q)-1]
	*q = (*q)[:len(*q)-1]
	return last
}
