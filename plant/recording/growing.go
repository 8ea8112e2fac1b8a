package recording

// growing is a list of values that grows in blocks: what is read of a long file is copied once, at the end, and not
// each time that a list is full.
type growing struct {
	full   [][]float64
	last   []float64
	length int
}

const (
	firstBlock = 1 << 10 // values
	mostBlock  = 1 << 16
)

func (g *growing) add(x float64) {
	if len(g.last) == cap(g.last) {
		if len(g.last) > 0 {
			g.full = append(g.full, g.last)
		}
		g.last = make([]float64, 0, min(max(firstBlock, g.length), mostBlock))
	}
	g.last = append(g.last, x)
	g.length++
}

// newest is the value that was added last.
func (g *growing) newest() *float64 { return &g.last[len(g.last)-1] }

// joined are all values in one list; the blocks are gone afterwards.
func (g *growing) joined() []float64 {
	list := make([]float64, 0, g.length)
	for i, block := range g.full {
		list = append(list, block...)
		g.full[i] = nil
	}
	list = append(list, g.last...)
	*g = growing{}
	return list
}
