package report

import (
	"fmt"
	"slices"
	"strconv"

	"holdbench/cmd/holdbench/internal/page"
	"holdbench/sim"
	"holdbench/sim/mutation"
)

// Mutation is the output of holdbench check --mutate --json.
type Mutation struct {
	Study
	Mutants []Mutant
}

// Mutant is a line of it.
type Mutant struct {
	Mutant   string `json:"mutant"`
	Operator string `json:"operator"`
	File     string `json:"file"`
	Fate     string `json:"fate"`
	Because  string `json:"because"`
	Missing  string `json:"missing"`
	By       string `json:"by"`

	States   []string       `json:"states"`   // the only ones that were mutated; none: all
	Settings []string       `json:"settings"` // KEY=VALUE that flags set in all scenarios
	Version  string         `json:"version"`
	Sources  []sim.Document `json:"sources"`
}

// Check refuses a file of something else.
func (m *Mutation) Check() error {
	for i, x := range m.Mutants {
		switch mutation.Status(x.Fate) {
		case mutation.Refused, mutation.Detected, mutation.Equivalent, mutation.Survived:
		default:
			return fmt.Errorf("line %d: mutant %q has the fate %q; %w", i+1, x.Mutant, x.Fate, errNotOf("check --mutate --json"))
		}
	}
	for i, x := range m.Mutants {
		if first := &m.Mutants[0]; !slices.Equal(x.States, first.States) || !slices.Equal(x.Settings, first.Settings) {
			return fmt.Errorf("line %d: mutant %q is of other states or values than that of line 1; must be the lines of one check --mutate --json", i+1, x.Mutant)
		}
		if !slices.Equal(x.Sources, m.Mutants[0].Sources) {
			return fmt.Errorf("line %d: mutant %q is of another sequence than that of line 1; must be the lines of one check --mutate --json", i+1, x.Mutant)
		}
	}
	if len(m.Mutants) == 0 {
		return errNotOf("check --mutate --json")
	}
	return nil
}

// study takes what every line says from the first.
func (m *Mutation) study() *Study {
	m.what = theMutation
	if len(m.Mutants) > 0 {
		m.Version, m.Sources, m.settings = m.Mutants[0].Version, m.Mutants[0].Sources, m.Mutants[0].Settings
	}
	return &m.Study
}

// states are the only ones that were mutated, none for all.
func (m *Mutation) states() []string {
	if len(m.Mutants) == 0 {
		return nil
	}
	return m.Mutants[0].States
}

// noticedElsewhere counts what a scenario noticed that the record does not have.
func (m *Mutation) noticedElsewhere(in *Input) int {
	n := 0
	for i := range m.Mutants {
		if by := m.Mutants[i].By; by != "" && in.called(by) == nil {
			n++
		}
	}
	return n
}

func (m *Mutation) section() *Section {
	s := &Section{Title: "Mistakes in the sequence that the test cases notice", Notes: []string{m.source()}}
	if list := m.states(); len(list) > 0 {
		s.Notes = append(s.Notes, "Only a part was tested: mistakes in the states "+chosen(list)+".")
	}
	t := Table{Caption: "mutants by kind of mistake", Columns: heads("mistake", ">made", ">noticed", ">survived", ">equivalent", ">refused by vet", ">noticed, of those that count")}
	count := map[string]map[mutation.Status]int{}
	var order []string
	for _, x := range m.Mutants {
		for _, key := range []string{x.Operator, "all"} {
			if count[key] == nil {
				count[key] = map[mutation.Status]int{}
				order = append(order, key)
			}
			count[key][mutation.Status(x.Fate)]++
		}
	}
	order = append(slices.DeleteFunc(order, func(k string) bool { return k == "all" }), "all")
	for _, key := range order {
		n := count[key]
		relevant := n[mutation.Detected] + n[mutation.Survived]
		share := "–"
		if relevant > 0 {
			share = fmt.Sprintf("%.1f %%", 100*float64(n[mutation.Detected])/float64(relevant))
		}
		t.add(page.CleanLine(key), strconv.Itoa(relevant+n[mutation.Equivalent]+n[mutation.Refused]), strconv.Itoa(n[mutation.Detected]), strconv.Itoa(n[mutation.Survived]), strconv.Itoa(n[mutation.Equivalent]), strconv.Itoa(n[mutation.Refused]), share)
	}
	s.Tables = []Table{t, m.list("mistakes that no test case notices", mutation.Survived, "missing test case", func(x *Mutant) string { return x.Missing }),
		m.list("mistakes that no test case can notice", mutation.Equivalent, "argument", func(x *Mutant) string { return x.Because })}
	return s
}

func (m *Mutation) list(caption string, fate mutation.Status, head string, text func(*Mutant) string) Table {
	t := Table{Caption: caption, Columns: heads("mistake", head)}
	for i := range m.Mutants {
		if x := &m.Mutants[i]; mutation.Status(x.Fate) == fate {
			t.add(page.CleanLine(x.Mutant), page.CleanLine(text(x)))
		}
	}
	if len(t.Rows) == 0 {
		t.add("none", "")
	}
	return t
}
