package probecmd

import (
	"slices"
	"strconv"
	"strings"

	"holdbench/cmd/holdbench/internal/page"
	"holdbench/sim/catalogue"
	"holdbench/sim/probe"
)

// matrix is the worst of every fault in every state.
type matrix struct {
	m       *probe.Results
	squares [][]probe.MatrixCell
	columns []int // of squares, that have cells: 0 the whole run, from 1 the states
	groups  []matrixGroup
}

// matrixGroup is the faults of one group of the catalogue, as places in Results.Faults.
type matrixGroup struct {
	name string
	rows []int
}

func newMatrix(m *probe.Results) *matrix {
	x := &matrix{m: m, squares: m.Matrix()}
	for c := range len(m.States) + 1 {
		if slices.ContainsFunc(x.squares, func(row []probe.MatrixCell) bool { return row[c].Cells > 0 }) {
			x.columns = append(x.columns, c)
		}
	}
	for i, name := range m.Faults {
		if group := groupOf(name); len(x.groups) == 0 || x.groups[len(x.groups)-1].name != group {
			x.groups = append(x.groups, matrixGroup{name: group})
		}
		g := &x.groups[len(x.groups)-1]
		g.rows = append(g.rows, i)
	}
	return x
}

// groupOf is the group of a fault, whether it has cells or not.
func groupOf(fault string) string {
	f, _ := catalogue.Find(fault) // of the catalogue, as all that is probed
	return f.Group
}

// head is the number under which a column stands in the list of states; the whole run
// has a word.
func (x *matrix) head(column int) string {
	if column == 0 {
		return "run"
	}
	return strconv.Itoa(slices.Index(x.columns, column) + 1 - x.wholeRuns())
}

// wholeRuns is how many columns are not of a state.
func (x *matrix) wholeRuns() int {
	if len(x.columns) > 0 && x.columns[0] == 0 {
		return 1
	}
	return 0
}

func (x *matrix) state(column int) string {
	if column == 0 {
		return ""
	}
	return x.m.States[column-1]
}

// signCells is how many columns a sign takes in the matrix of a terminal: the room of two
// digits and a gap.
const signCells = 3

// print prints the squares, in as many blocks as the screen is too narrow for one.
func (x *matrix) print(v *sheet) {
	v.Section("worst of each fault in each state")
	label := 2
	for _, name := range x.m.Faults {
		label = max(label, page.Cells(name)+2)
	}
	for i, block := range blocks(x.columns, (v.full-label)/signCells) {
		if i > 0 {
			v.Line()
		}
		x.key(v, block)
		for _, g := range x.groups {
			x.group(v, &g, block, label)
		}
	}
	v.Line()
	v.legend(blankWhat)
}

// blocks splits columns into the fewest blocks of at most a size, as even as can be.
func blocks(columns []int, most int) [][]int {
	if len(columns) == 0 {
		return nil
	}
	most = max(most, 1)
	n := (len(columns) + most - 1) / most
	size := (len(columns) + n - 1) / n
	return slices.Collect(slices.Chunk(columns, size))
}

// key lists the states of a block by number, down the page and then across.
func (x *matrix) key(v *sheet, block []int) {
	var items []string
	widest := 0
	for _, c := range block {
		text := page.PadLeft(x.head(c), signCells) + " " + stateWord(x.state(c))
		items, widest = append(items, text), max(widest, page.Cells(text))
	}
	across := max(1, (v.full+2)/(widest+2))
	down := (len(items) + across - 1) / across
	for row := range down {
		var line strings.Builder
		for i := row; i < len(items); i += down {
			line.WriteString(page.Pad(items[i], widest+2))
		}
		v.Line(v.Style.Faint.Render(strings.TrimRight(line.String(), " ")))
	}
}

// group is a group of faults below its name and the numbers of the states.
func (x *matrix) group(v *sheet, g *matrixGroup, block []int, label int) {
	var lines []string
	for _, row := range g.rows {
		var line strings.Builder
		some := false
		for _, c := range block {
			sign := " "
			if o := x.squares[row][c].Worst; o != nil {
				sign, some = v.sign(o), true
			}
			line.WriteString(strings.Repeat(" ", signCells-1) + sign)
		}
		if some {
			lines = append(lines, "  "+page.Pad(x.m.Faults[row], label-2)+line.String())
		}
	}
	if len(lines) == 0 {
		return
	}
	var heads strings.Builder
	for _, c := range block {
		heads.WriteString(page.PadLeft(x.head(c), signCells))
	}
	v.Line()
	v.Line(v.Style.Strong.Render(page.Pad(g.name, label)), v.Style.Faint.Render(heads.String()))
	for _, line := range lines {
		v.Line(line)
	}
}
