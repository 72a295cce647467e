package solver

// nodeHeap orders nodes by bound, and by age where bounds are equal, so that the search is the same
// each time.
type nodeHeap struct {
	nodes []*node
	count int
}

func (h *nodeHeap) Len() int { return len(h.nodes) }
func (h *nodeHeap) Less(i, j int) bool {
	if h.nodes[i].bound != h.nodes[j].bound {
		return h.nodes[i].bound < h.nodes[j].bound
	}
	return h.nodes[i].number > h.nodes[j].number
}
func (h *nodeHeap) Swap(i, j int) { h.nodes[i], h.nodes[j] = h.nodes[j], h.nodes[i] }
func (h *nodeHeap) Push(n any)    { h.nodes = append(h.nodes, n.(*node)) }
func (h *nodeHeap) Pop() any {
	last := h.nodes[len(h.nodes)-1]
	h.nodes = h.nodes[:len(h.nodes)-1]
	return last
}
