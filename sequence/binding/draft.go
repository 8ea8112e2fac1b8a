package binding

import (
	"cmp"
	"errors"
	"fmt"
	"path/filepath"
	"slices"
	"strconv"
	"strings"

	"holdbench/plant/problem"
	"holdbench/sequence"
	"holdbench/sequence/st"
)

// alike is the least similarity of names with which a draft ties a signal to a variable.
const alike = 0.6

// candidate is a variable that a signal can be tied to.
type candidate struct {
	path  string
	owner *st.Variable // of the block
	typ   *st.Type
}

// Draft writes a first binding for a program: signals and variables whose types fit and whose names
// are most alike. The block is the one that nothing else calls; name chooses another. What is not
// found stands in it as a comment. The problems are those of the program.
func Draft(file string, text []byte, name string) (string, problem.List, error) {
	program, warnings, err := st.Compile(file, string(text))
	if err != nil {
		return "", warnings, err
	}
	block, err := mainBlock(program, name)
	if err != nil {
		return "", nil, err
	}
	d := &draft{file: filepath.Base(file), block: block}
	for _, v := range block.Variables {
		if !v.Constant {
			d.collect(v.Name, v, v.Type, 0)
		}
	}
	return d.text(), warnings, nil
}

// mainBlock is the block that is run: the one that is named, else a PROGRAM, else the last
// FUNCTION_BLOCK, as blocks are declared before they are used.
func mainBlock(p *st.Program, name string) (*st.Block, error) {
	var programs, blocks []*st.Block
	var names []string
	for _, b := range p.Blocks {
		switch b.Kind {
		case st.ProgramBlock:
			programs = append(programs, b)
		case st.FunctionBlock:
			blocks = append(blocks, b)
		default:
			continue
		}
		names = append(names, b.Name)
	}
	all := slices.Concat(blocks, programs)
	switch i := slices.IndexFunc(all, func(b *st.Block) bool { return strings.EqualFold(b.Name, name) }); {
	case name != "" && i < 0:
		return nil, fmt.Errorf("there is no PROGRAM or FUNCTION_BLOCK %q; %s", name, sequence.Suggest(name, names))
	case name != "":
		return all[i], nil
	case len(all) == 0:
		return nil, errors.New("the file has no PROGRAM and no FUNCTION_BLOCK; must have one that can be run")
	}
	return all[len(all)-1], nil
}

// draft is a binding on its way.
type draft struct {
	file  string
	block *st.Block
	all   []candidate
	out   strings.Builder
}

// maxDepth bounds how deep a draft looks into structures.
const maxDepth = 3

// collect lists a variable and the members of one that has some.
func (d *draft) collect(path string, owner *st.Variable, t *st.Type, depth int) {
	if k := t.Kind(); k <= st.Enum && k != 0 {
		d.all = append(d.all, candidate{path, owner, t})
		return
	}
	if depth == maxDepth || t.Kind() == st.Array {
		return
	}
	for _, f := range t.Fields() {
		d.collect(path+"."+f.Name, owner, f.Type, depth+1)
	}
}

// text writes the binding.
func (d *draft) text() string {
	d.line("# A first binding, made by the similarity of names and types. Every line needs a review;")
	d.line("# holdbench vet FILE lists what is not bound.")
	d.line("binding: %s", strings.ReplaceAll(strings.TrimSuffix(strings.ToLower(d.file), filepath.Ext(d.file)), "_", "-"))
	d.line("program: %s", d.file)
	d.line("block: %s", d.block.Name)
	d.signals("inputs", sequence.InputSignals(), st.Input, st.Output)
	d.signals("outputs", sequence.OutputSignals(), st.Output, st.Input)
	d.state()
	d.params()
	return d.out.String()
}

func (d *draft) line(format string, values ...any) { fmt.Fprintf(&d.out, format+"\n", values...) }

// pair is a signal and a variable, with how alike they are.
type pair struct {
	signal, variable int
	score            float64
}

// pairs are the signals and the variables that fit each other and are alike, the most alike first; of
// two that are as alike the one declared in the section that is meant for it.
func (d *draft) pairs(table []sequence.Signal, meant, never st.Section) []pair {
	const bonus = 0.1
	var pairs []pair
	for s := range table {
		for v := range d.all {
			c := &d.all[v]
			score := similarity(table[s].Name, c.path)
			if c.owner.Section == never || score < alike || !fits(&table[s], c.typ) {
				continue
			}
			if c.owner.Section == meant {
				score += bonus
			}
			pairs = append(pairs, pair{s, v, score})
		}
	}
	slices.SortStableFunc(pairs, func(a, b pair) int { return cmp.Compare(b.score, a.score) })
	return pairs
}

// signals ties those of one side.
func (d *draft) signals(key string, table []sequence.Signal, meant, never st.Section) {
	pairs := d.pairs(table, meant, never)
	bound, used := map[int]int{}, map[int]bool{}
	for _, p := range pairs {
		if _, done := bound[p.signal]; !done && !used[p.variable] {
			bound[p.signal], used[p.variable] = p.variable, true
		}
	}
	d.line("%s:", key)
	var taken []string
	for s := range table {
		v, ok := bound[s]
		if !ok {
			d.line("  # %s:", table[s].Name)
			continue
		}
		taken = append(taken, d.all[v].path)
		d.line("  %s: %s", table[s].Name, linkText(&table[s], &d.all[v]))
	}
	d.all = slices.DeleteFunc(d.all, func(c candidate) bool {
		return slices.ContainsFunc(taken, func(path string) bool { return path == c.path })
	})
}

// fits is whether a variable can hold a signal.
func fits(s *sequence.Signal, t *st.Type) bool {
	k := t.Kind()
	switch s.Kind {
	case sequence.KindBoolean:
		return k == st.Bool
	case sequence.KindNumber:
		return k >= st.Sint && k <= st.Ulint || k == st.Real || k == st.Lreal || k == st.Time && s.Unit == sequence.UnitOf("_s")
	}
	if s.Words == nil {
		return k == st.String
	}
	return k == st.Enum || k == st.Bool && len(s.Words) == 2
}

// linkText is a link as it is written, with the words where they are needed.
func linkText(s *sequence.Signal, c *candidate) string {
	if s.Kind != sequence.KindWord || s.Words == nil {
		return c.path
	}
	var parts []string
	for _, word := range s.Words {
		value := strconv.FormatBool(trueFor(word, c.path))
		if c.typ.Kind() == st.Enum {
			value = valueFor(word, c.typ)
		}
		parts = append(parts, shownWord(word)+": "+value)
	}
	return fmt.Sprintf("{variable: %s, words: {%s}}", c.path, strings.Join(parts, ", "))
}

// trueFor is whether TRUE of a variable stands for a word, by the name of the variable.
func trueFor(word, path string) bool {
	named := func(list ...string) bool {
		return slices.ContainsFunc(words(path), func(w string) bool {
			return slices.ContainsFunc(list, func(of string) bool { return strings.HasPrefix(w, of) })
		})
	}
	switch word {
	case "open":
		return named("open", "release", "lift")
	case "closed":
		return !trueFor("open", path)
	case "inhibited":
		return named("inhibit", "block", "lock")
	}
	return word == "allowed" && !trueFor("inhibited", path)
}

// valueFor is the value of a type that a word is most alike to.
func valueFor(word string, t *st.Type) string {
	best, score := "", -1.0
	for _, v := range t.Values() {
		if s := similarity(shownWord(word), v.Name); s > score {
			best, score = v.Name, s
		}
	}
	return best
}

// state writes what says the state: the enumeration with the most values, or the flags that are named
// like steps.
func (d *draft) state() {
	d.line("state:")
	best := -1
	for i := range d.all {
		if c := &d.all[i]; c.typ.Kind() == st.Enum && (best < 0 || len(c.typ.Values()) > len(d.all[best].typ.Values())) {
			best = i
		}
	}
	var names []string
	if best >= 0 {
		d.line("  variable: %s", d.all[best].path)
		d.line("  values:")
		values := d.all[best].typ.Values()
		for i, name := range stateNames(values) {
			names = append(names, name)
			d.line("    %s: %s", values[i].Name, name)
		}
	} else if names = d.flags(); len(names) == 0 {
		d.line("  # variable: of an enumeration or an integer; or flags: BOOL variables with their states")
	}
	d.ends(names)
}

// flags writes the BOOL variables that are named like steps.
func (d *draft) flags() []string {
	var names []string
	for i := range d.all {
		c := &d.all[i]
		w := words(c.path)
		if c.typ.Kind() != st.Bool || !slices.ContainsFunc(w, func(s string) bool { return s == "step" || s == "state" }) {
			continue
		}
		if len(names) == 0 {
			d.line("  flags:")
		}
		name := strings.Join(slices.DeleteFunc(plain(w), func(s string) bool { return s == "step" || s == "state" }), "_")
		names = append(names, name)
		d.line("    %s: %s", c.path, name)
	}
	return names
}

// ends writes the states that are named like the end of a test.
func (d *draft) ends(names []string) {
	kinds := []struct {
		end string
		of  []string
	}{
		{"pass", []string{"passed", "pass", "done", "ok", "success"}},
		{"fail", []string{"failed", "fail", "locked", "fault", "error"}},
		{"stop", []string{"stopped", "stop", "aborted", "cancelled", "canceled"}},
	}
	var parts []string
	for _, name := range names {
		for _, k := range kinds {
			if slices.ContainsFunc(words(name), func(w string) bool { return slices.Contains(k.of, w) }) {
				parts = append(parts, name+": "+k.end)
				break
			}
		}
	}
	d.line("  ends: {%s}", strings.Join(parts, ", "))
}

// params writes the parameters of the roles whose names are like those of the inputs that are left.
func (d *draft) params() {
	d.line("# params:   # what --set sequence.NAME and a rig can change; the end of a name is its unit")
	for i := range d.all {
		c := &d.all[i]
		if c.owner.Section != st.Input {
			continue
		}
		name := strings.Join(plain(words(c.path)), "_")
		if c.typ.Kind() == st.Time && !strings.HasSuffix(name, "_s") {
			name += "_s"
		}
		if k := c.typ.Kind(); k == st.Time || k == st.Real || k == st.Lreal || k == st.Bool {
			d.line("#   %s: %s", name, c.path)
		}
	}
}
