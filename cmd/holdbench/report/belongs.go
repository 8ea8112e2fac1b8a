package report

import (
	"slices"
	"strings"

	"holdbench/cmd/holdbench/internal/page"
	"holdbench/sim"
)

// Study is what the file of a study says of itself.
type Study struct {
	File    string         `json:"-"`
	SHA256  string         `json:"-"`
	Version string         `json:"version"` // of the program that made it; empty where the file does not say
	Sources []sim.Document `json:"sources"` // that it was made from; none where the file does not say

	what                    string // such as: the probe
	scenario, rig, sequence string // names; empty where the file does not have them
	same                    func(*Run) bool
	settings                []string        // KEY=VALUE that were set beside the documents
	noSettings              bool            // the file does not say what was set
	valued                  func(*Run) bool // whether a run has the same values; nil where the file does not tell
	other                   []string        // why it is of other documents; none: it is not
	unknown                 string          // why it cannot be compared; empty if it can
	remarks                 []string        // on a study that belongs
}

// The words for how a study belongs to the record.
const (
	ofOthers    = "of other documents or values"
	notCompared = "cannot be compared"
	ofThese     = "of the documents of this record"
)

// scenarioKind is what a scenario is called among the sources of a case.
const scenarioKind = "scenario"

// counts is whether a study is evidence for this record.
func (s *Study) counts() bool { return len(s.other) == 0 && s.unknown == "" }

// state is how a study belongs to the record, as a word and with its reasons.
func (s *Study) state() (word Cell, reasons string) {
	switch {
	case len(s.other) > 0:
		return Cell{Text: ofOthers, Tone: "bad"}, strings.Join(s.other, "; ")
	case s.unknown != "":
		return Cell{Text: notCompared, Tone: "warn"}, s.unknown
	}
	return Cell{Text: ofThese}, strings.Join(s.remarks, "; ")
}

// name is the file as texts refer to it.
func (s *Study) name() string { return s.what + " " + page.CleanLine(s.File) }

// compare compares what a study was made from with what the record was made from. A study whose runs have the
// fingerprint of a test case belongs, whatever its files look like.
func (in *Input) compare(s *Study) {
	s.other, s.unknown, s.remarks = nil, "", nil
	if s.Version != "" && s.Version != in.Version {
		s.other = append(s.other, "made with holdbench "+page.CleanLine(s.Version)+", and this record with "+in.Version)
	}
	if s.same != nil && in.count(s.same) > 0 {
		return
	}
	if len(s.Sources) > 0 {
		in.compareFiles(s)
		in.compareSettings(s)
		return
	}
	in.compareNames(s)
}

// compareNames is for a file without content hashes.
func (in *Input) compareNames(s *Study) {
	if s.rig != "" && !slices.ContainsFunc(in.Rigs, func(r *Rig) bool { return r.Rig.Rig == s.rig }) {
		s.other = append(s.other, "of the rig "+page.CleanLine(s.rig)+", which is not in this record")
	}
	if s.sequence != "" && !slices.ContainsFunc(in.Sequences, func(q *Sequence) bool { return q.Logic.About().Name == s.sequence }) {
		s.other = append(s.other, "of the sequence "+page.CleanLine(s.sequence)+", which is not in this record")
	}
	if r := in.called(s.scenario); r != nil && s.same != nil {
		s.other = append(s.other, "its fingerprint is not that of "+r.sign()+" "+r.name()+": documents or values differ")
	}
	if len(s.other) == 0 {
		s.unknown = "its file has no content hashes"
	}
}

// compareFiles compares content hashes: of rig, sequence and program, then of the scenario.
func (in *Input) compareFiles(s *Study) {
	var main []sim.Document
	for _, d := range s.Sources {
		if d.Kind != scenarioKind {
			main = append(main, d)
		}
	}
	for _, d := range main {
		if in.count(func(r *Run) bool { return r.madeOf(d) }) == 0 {
			s.other = append(s.other, page.CleanLine(d.Kind)+" "+page.CleanLine(d.Name)+" with the SHA-256 "+shortHash(d.SHA256)+" is not in this record")
		}
	}
	together := func(r *Run) bool {
		return !slices.ContainsFunc(main, func(d sim.Document) bool { return !r.madeOf(d) })
	}
	if len(s.other) == 0 && in.count(together) == 0 {
		s.other = append(s.other, "its rig and its sequence are together in no test case")
	}
	for _, d := range s.Sources {
		if d.Kind == scenarioKind && len(s.other) == 0 {
			in.compareScenario(s, d, len(main) > 0)
		}
	}
}

// compareSettings compares the values that were set beside the documents with those of the test cases.
func (in *Input) compareSettings(s *Study) {
	switch {
	case len(s.other) > 0:
	case s.noSettings:
		s.unknown = "its file does not say which values were set"
	case len(s.settings) > 0 && (s.valued == nil || in.count(s.valued) == 0):
		s.other = append(s.other, "made with values that no test case of these documents has: "+page.CleanLine(strings.Join(s.settings, ", ")))
	}
}

// compareScenario compares the scenario of a study; rig and sequence are those of the record, if files name them.
func (in *Input) compareScenario(s *Study, d sim.Document, named bool) {
	has := func(r *Run) bool { return r.madeOf(d) }
	switch {
	case in.count(has) > 0 && s.same != nil:
		s.other = append(s.other, "values were set that the test case of the same scenario does not have")
	case in.count(has) > 0:
	case in.called(s.scenario) != nil:
		s.other = append(s.other, "scenario "+page.CleanLine(s.scenario)+" with the SHA-256 "+shortHash(d.SHA256)+" is not in this record, which has another content of that name")
	case named:
		s.remarks = append(s.remarks, "its scenario "+page.CleanLine(d.Name)+" is no test case of this record")
	default:
		s.unknown = "its scenario " + page.CleanLine(d.Name) + " holds the rig or the sequence, and is no test case of this record"
	}
}

// called is the test case of a scenario by its name, nil for none.
func (in *Input) called(scenario string) *Run {
	for _, r := range in.ran() {
		if scenario != "" && r.Ready.Scenario.Scenario == scenario {
			return r
		}
	}
	return nil
}

// madeOf is whether a run was made from a document.
func (r *Run) madeOf(d sim.Document) bool {
	return slices.ContainsFunc(r.Ready.Sources, func(x sim.Document) bool { return x.Kind == d.Kind && x.SHA256 == d.SHA256 })
}

// fingerprinted is whether a run has a fingerprint, with its own seed or another.
func fingerprinted(want string, seed uint64, of func(*sim.Case) (string, error)) func(*Run) bool {
	return func(r *Run) bool {
		seeded := *r.Ready
		seeded.Scenario.Seed = seed
		for _, c := range []*sim.Case{r.Ready, &seeded} {
			if got, err := of(c); err == nil && got == want {
				return true
			}
		}
		return false
	}
}

// shortHash is enough of a hash to compare it with another on the page.
func shortHash(sha string) string { return page.CleanLine(sha[:min(12, len(sha))]) + "…" }

// source is the part of a study that says where it comes from.
func (s *Study) source() string {
	text := "From " + page.CleanLine(s.File) + ", SHA-256 " + s.SHA256
	if s.Version != "" {
		text += ", by holdbench " + page.CleanLine(s.Version)
	}
	var from []string
	for _, d := range s.Sources {
		from = append(from, page.CleanLine(d.Kind)+" "+page.CleanLine(d.Name)+" "+shortHash(d.SHA256))
	}
	if len(from) > 0 {
		text += ", made from " + strings.Join(from, ", ")
	}
	return text + "."
}

// marked says at the title, at the beginning and at each table and figure of a study that it does not belong.
func (s *Study) marked(c *Section) *Section {
	word, reasons := s.state()
	if s.counts() {
		if reasons != "" {
			c.Notes = append(c.Notes, capital(reasons)+".")
		}
		return c
	}
	c.Title += ", " + word.Text
	c.Items = append([]Cell{{Text: capital(word.Text) + ", and no evidence for this record: " + reasons, Tone: word.Tone}}, c.Items...)
	for i := range c.Tables {
		c.Tables[i].Mark = word
	}
	for i := range c.Figures {
		c.Figures[i].Caption += ", " + word.Text
	}
	return c
}

// capital begins a sentence.
func capital(text string) string {
	if text == "" || text[0] < 'a' || text[0] > 'z' {
		return text
	}
	return string(text[0]-'a'+'A') + text[1:]
}
