package report

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"holdbench/cmd/holdbench/internal/caution"
	"holdbench/cmd/holdbench/internal/page"
)

// OnlyFailed shows only test cases that are not as expected.
const OnlyFailed = "failed"

// Input is all that a record is made of.
type Input struct {
	Title, Machine, Author, Date string
	Version                      string
	Only                         string // OnlyFailed, or empty
	Runs                         []*Run
	Rigs                         []*Rig
	Sequences                    []*Sequence
	Studies                      Studies
	Replaced                     string // what ran in place of the sequences of the scenarios; empty for nothing
}

// New makes the record.
func New(in *Input) *Record {
	in.compareStudies()
	r := &Record{
		Title: page.CleanLine(in.Title), Machine: page.CleanLine(in.Machine), Author: page.CleanLine(in.Author), Date: page.CleanLine(in.Date),
		Version: in.Version, Caution: caution.Whole, Identity: in.identity(), Result: in.result(), Verdict: in.verdict(),
	}
	r.Chapters = []*Section{in.scope(), in.requirements(), in.sizings(), in.sequenceChapter(), in.casesChapter(), in.Studies.chapter(), in.open(), in.cautions()}
	return r
}

// verdict is one sentence on all test cases.
func (in *Input) verdict() Cell {
	met := in.count(func(r *Run) bool { return r.Result.Met() })
	text := fmt.Sprintf("%s: %d as expected", page.Count(len(in.Runs), "test case", "test cases"), met)
	recorded := in.count(func(r *Run) bool { return r.Result.Met() && r.Unreviewed })
	if recorded > 0 {
		repeats := "repeat"
		if recorded == 1 {
			repeats = "repeats"
		}
		text += fmt.Sprintf(", %d of these only %s a recorded result that is not reviewed", recorded, repeats)
	}
	different := len(in.ran()) - met
	bad := len(in.Runs) - len(in.ran())
	if different > 0 {
		text += fmt.Sprintf(", %d NOT as expected", different)
	}
	if bad > 0 {
		text += fmt.Sprintf(", %d not usable", bad)
	}
	measured, differs := in.recordedVerdict()
	if different+bad > 0 {
		return Cell{Text: text + ". The validation by simulation is not passed." + measured, Tone: "bad"}
	}
	if met == 0 {
		return Cell{Text: text + ".", Tone: "bad"}
	}
	text += "."
	if n := len(in.findings()); n > 0 {
		text += " " + page.Count(n, "finding", "findings") + " of the studies to review."
	}
	tone := ""
	if recorded > 0 {
		tone = "warn"
	}
	if differs {
		tone = "bad"
	}
	return Cell{Text: text + measured, Tone: tone}
}

func (in *Input) identity() Table {
	t := Table{Caption: "What was validated", Columns: heads("kind", "which")}
	var rigs, sequences []Link
	for _, r := range in.Rigs {
		rigs = append(rigs, Link{page.CleanLine(r.Rig.Rig), r.id()})
	}
	for _, s := range in.Sequences {
		sequences = append(sequences, Link{s.name(), s.id()})
	}
	t.addCells(Cell{Text: "rigs"}, Cell{Links: rigs})
	t.addCells(Cell{Text: "sequences and programs"}, Cell{Links: sequences})
	if in.Replaced != "" {
		t.add("in place of the sequences of the scenarios", page.CleanLine(in.Replaced))
	}
	t.add("judge", in.kinds())
	t.add("seeds", in.seeds())
	for _, s := range in.Studies.all() {
		word, _ := s.state()
		t.addCells(Cell{Text: "study"}, Cell{Text: capital(s.name()) + ": " + word.Text, Tone: word.Tone, Link: "studies"})
	}
	for _, r := range in.ran() {
		if r.Judged == nil {
			continue
		}
		c := Cell{Text: r.recordedName() + ": " + r.RecordedResult(), Links: []Link{in.linkTo(r)}}
		if r.Differs() {
			c.Tone = "bad"
		}
		t.addCells(Cell{Text: "recorded test"}, c)
	}
	t.add("model", "holdbench "+in.Version+"; the same documents and seeds give the same bytes")
	return t
}

// kinds are the judges of the rigs.
func (in *Input) kinds() string {
	var list []string
	for _, r := range in.Rigs {
		if text := "model of the kind " + r.Rig.Judge.Kind; !slices.Contains(list, text) {
			list = append(list, text)
		}
	}
	return strings.Join(list, "; ")
}

func (in *Input) seeds() string {
	count := map[uint64]int{}
	var order []uint64
	for _, r := range in.ran() {
		if count[r.Ready.Seed]++; count[r.Ready.Seed] == 1 {
			order = append(order, r.Ready.Seed)
		}
	}
	slices.Sort(order)
	var list []string
	for _, s := range order {
		list = append(list, strconv.FormatUint(s, 10)+" in "+page.Count(count[s], "test case", "test cases"))
	}
	return strings.Join(list, ", ")
}

func (in *Input) result() Table {
	t := Table{Caption: "Result of the simulation", Columns: heads("group", ">test cases", ">as expected", ">of these not reviewed", ">not as expected", ">not usable")}
	type sums struct{ all, met, recorded, not, bad int }
	of := map[string]*sums{}
	var order []string
	all := &sums{}
	for _, r := range in.Runs {
		s := of[r.Group]
		if s == nil {
			s = &sums{}
			of[r.Group] = s
			order = append(order, r.Group)
		}
		for _, x := range []*sums{s, all} {
			x.all++
			switch word, _ := r.outcome(); word {
			case asExpected:
				x.met++
			case repeated:
				x.met++
				x.recorded++
			case notAs:
				x.not++
			default:
				x.bad++
			}
		}
	}
	of[""] = all
	for _, g := range append(order, "") {
		s, name := of[g], page.CleanLine(g)
		if g == "" {
			name = "all"
		}
		t.addCells(Cell{Text: name}, number(s.all, false), number(s.met, false), number(s.recorded, false), number(s.not, true), number(s.bad, true))
	}
	return t
}

// number is a count; one that must be 0 stands out if it is not.
func number(n int, zero bool) Cell {
	c := Cell{Text: strconv.Itoa(n)}
	if zero && n > 0 {
		c.Tone = "bad r"
	}
	return c
}

// scope says what was validated, and where the parts that the standard asks for are.
func (in *Input) scope() *Section {
	return &Section{ID: "scope", Title: "What was validated, and how", Notes: []string{
		"The functional side of the brake test ran on a model of the axis, in lockstep with a model of the safety side. This record is of that simulation. It prepares the validation of the machine and replaces no part of it.",
	}, Parts: []*Section{
		{ID: "standard", Title: "Structure of the record", Tables: []Table{in.standard()}},
		{ID: "rigs", Title: "Rigs", Tables: []Table{in.rigsTable()}},
		{ID: "documents", Title: "Sequences and programs", Tables: []Table{in.sequencesTable()}},
		{ID: "judges", Title: "Judge and stop functions", Tables: []Table{in.judgesTable()}},
	}}
}

// standard maps the clauses of ISO 13849-2 to the parts of the record, in our words.
func (in *Input) standard() Table {
	t := Table{
		Columns: heads("ISO 13849-2:2012 (from memory)", "in this record"),
		Notes:   []string{"Clauses are from memory and have to be checked against the edition that applies; in later editions of ISO 13849-1 validation is a clause of that part."},
	}
	row := func(clause, text string, links ...Link) {
		t.addCells(Cell{Text: clause}, Cell{Text: text, Links: links})
	}
	row("4.2 validation plan: what is validated, by which method", "", Link{"this chapter", "scope"}, Link{"purpose and limits of each test case", "cases"})
	row("4.3 and 4.4 fault lists", "faults of each test case, and the probe where given:", Link{"test cases", "cases"}, Link{"studies", "studies"})
	row("4.5 information for validation", "documents with their content hashes; circuit diagrams, data sheets and the requirements specification of the machine are to be added:", Link{"documents", "documents"}, Link{"sequences", "sequences"})
	row("4.6 validation record: what passed and what failed", "", Link{"overview", "overview"}, Link{"open points", "open"})
	row("5 validation by analysis", "calculation of the values of the test:", Link{"sizing", "sizing"})
	row("6 validation by testing: result, accuracy, number of samples", "simulated here; the column measured and the signature below each test case are for the machine:", Link{"test cases", "cases"})
	row("7 safety requirements specification", "", Link{"requirements", "requirements"})
	row("8 safety functions", "the test of the brake as a function; stop functions as far as they act on it:", Link{"judge and stop functions", "judge"})
	row("9 performance level and category (MTTFd, DC, CCF, systematic failures, software)", "not part of this record")
	row("10 environmental requirements", "not part of this record")
	row("11 maintenance requirements", "only the interval of the test, where a study of exposure is given:", Link{"studies", "studies"})
	row("12 technical documentation and information for use", "not part of this record")
	return t
}

// cautions end every record.
func (in *Input) cautions() *Section {
	return &Section{ID: "cautions", Title: "Cautions", Notes: []string{caution.Whole}, Items: []Cell{
		{Text: "A test case that injects a fault is for the simulation. On the machine a fault is injected only where the risk assessment permits it, with the load propped or removed."},
		{Text: "The data of a rig are those of its document. Before a value of this record is used, each is to be compared with the data sheet and the machine."},
		{Text: "The model has one mass an axis, no elastic transmission and no uneven wear. A test of the brake proves the brake at its position and moment, not the transmission behind it."},
		{Text: "The judge is a model of a possible safety function. The safety function of the machine is validated by itself."},
	}}
}
