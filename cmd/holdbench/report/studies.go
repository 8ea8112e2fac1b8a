package report

import (
	"errors"

	"holdbench/cmd/holdbench/internal/page"
)

// Studies are the files of other commands that the record takes in.
type Studies struct {
	Probes    []*Probe
	Mutations []*Mutation
	Sweeps    []*Sweep
	Lives     []*Life
}

// errNotOf is what a file must be.
func errNotOf(command string) error {
	return errors.New("must be what holdbench " + command + " prints")
}

// compareStudies finds out which studies belong to the record.
func (in *Input) compareStudies() {
	for _, s := range in.Studies.all() {
		in.compare(s)
	}
	for _, m := range in.Studies.Mutations {
		if n := m.noticedElsewhere(in); n > 0 && m.counts() {
			m.remarks = append(m.remarks, page.Count(n, "mistake was", "mistakes were")+" noticed by scenarios that are no test cases of this record")
		}
	}
}

// all are the studies in the order of the record, each with what it says of itself.
func (s *Studies) all() []*Study {
	var list []*Study
	for _, p := range s.Probes {
		list = append(list, p.study())
	}
	for _, m := range s.Mutations {
		list = append(list, m.study())
	}
	for _, w := range s.Sweeps {
		list = append(list, w.study())
	}
	for _, l := range s.Lives {
		list = append(list, l.study())
	}
	return list
}

// missing are the studies that were not given, or not of the documents of this record.
func (s *Studies) missing() []string {
	has, counts := map[string]bool{}, map[string]bool{}
	for _, x := range s.all() {
		has[x.what] = true
		counts[x.what] = counts[x.what] || x.counts()
	}
	var list []string
	for _, k := range []struct{ what, shows string }{
		{theProbe, "every fault in every state (holdbench probe --json, --probe of this command)"},
		{theMutation, "whether the test cases notice mistakes in the sequence (holdbench check --mutate --json, --mutation)"},
		{theSweep, "how often an insufficient brake is missed when data spread (holdbench sweep --json, --sweep)"},
		{theLife, "exposure over months of production (holdbench life --json, --life)"},
	} {
		switch {
		case !has[k.what]:
			list = append(list, k.shows+": not given")
		case !counts[k.what]:
			list = append(list, k.shows+": given, and not known to be of the documents of this record")
		}
	}
	return list
}

// What the studies are called.
const (
	theProbe    = "the probe"
	theMutation = "the mutation test"
	theSweep    = "the sweep"
	theLife     = "the life"
)

// chapter shows the studies that were given.
func (s *Studies) chapter() *Section {
	c := &Section{ID: "studies", Title: "Further studies"}
	for i, p := range s.Probes {
		c.Parts = append(c.Parts, p.marked(p.section(i+1)))
	}
	for _, m := range s.Mutations {
		c.Parts = append(c.Parts, m.marked(m.section()))
	}
	for _, w := range s.Sweeps {
		c.Parts = append(c.Parts, w.marked(w.section()))
	}
	for _, l := range s.Lives {
		c.Parts = append(c.Parts, l.marked(l.section()))
	}
	c.Notes = []string{"Studies are taken from the files of other commands. Each was compared with the documents of this record by content hash, fingerprint and version; what is of other documents, or cannot be compared, is marked and is no evidence for this record."}
	if len(c.Parts) == 0 {
		c.Notes = []string{"None was given; see what was not tested."}
	}
	return c
}
