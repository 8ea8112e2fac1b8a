package scenarios

import (
	"cmp"
	"fmt"
	"maps"
	"path/filepath"
	"slices"
	"strings"

	"github.com/goccy/go-yaml/ast"

	"holdbench/plant"
	"holdbench/plant/problem"
	"holdbench/sequence"
	"holdbench/sim"
)

// Overrides are what the command line puts in place of the scenario's own.
type Overrides struct {
	Rig      string            // reference, empty for the scenario's
	Sequence string            // reference, empty for the scenario's
	Seed     uint64            // 0 for the scenario's
	Set      map[string]string // on top of the scenario's set
	Outside  Outside           // runs in place of the sequence; nil for the sequence itself
	Reach    Reach             // of the files that documents name
}

// Outside puts a controller outside the program in the place of a sequence on a rig. Own is whether it
// has states of its own: what a scenario expects of the states of its sequence does not apply then.
type Outside func(base sequence.Logic, rig *plant.Rig) (made sequence.Logic, own bool, err error)

// LoadRig reads a rig, built in or from a file. What is doubtful comes back as warnings
// beside a usable rig; an error is a [problem.List] if the document is wrong. The same
// holds for all that is loaded or parsed here, and what is returned is the caller's own.
func LoadRig(reference string) (*plant.Rig, problem.List, error) {
	return shared.loadRig(reference)
}

// LoadSequence reads a sequence document and vets it. A sequence that is made of something else is
// refused.
func LoadSequence(reference string) (*sequence.Document, problem.List, error) {
	logic, warnings, err := shared.loadLogic(reference, Below)
	if err != nil {
		return nil, warnings, err
	}
	d, err := documentOf(logic)
	return d, warnings, err
}

// LoadLogic reads a sequence of any kind and checks it.
func LoadLogic(reference string, reach Reach) (sequence.Logic, problem.List, error) {
	return shared.loadLogic(reference, reach)
}

// LoadCase reads a scenario with the rig and the sequence that it names and makes a
// case of it.
func LoadCase(reference string, o Overrides) (*sim.Case, problem.List, error) {
	name, text, err := find(ScenarioKind, reference, "")
	if err != nil {
		return nil, nil, err
	}
	return shared.parseCase(name, text, o)
}

// LoadCaseFrom is [LoadCase] with the documents that were read, as far as it came. One that could not be
// read has no hash.
func LoadCaseFrom(reference string, o Overrides) (*sim.Case, []sim.Document, problem.List, error) {
	var read sources
	name, text, err := find(ScenarioKind, reference, "")
	read.add(ScenarioKind, reference, name, text, err)
	if err != nil {
		return nil, read.list, nil, err
	}
	c, warnings, err := shared.parseCaseFrom(name, text, o, &read)
	return c, read.list, warnings, err
}

// Sources are the documents of a rig and a sequence, as they are read now.
func Sources(rig, logic string, reach Reach) []sim.Document {
	var read sources
	name, text, err := find(RigKind, rig, "")
	read.add(RigKind, rig, name, text, err)
	name, text, err = findSequence(logic, "")
	read.addSequence(logic, name, text, err)
	if err == nil {
		_, program, _, _ := shared.sequence(name, text, reach) // what is wrong with it was said when it was loaded
		read.addProgram(program)
	}
	return read.list
}

// sources are the documents that a case is read from.
type sources struct{ list []sim.Document }

// add notes a document, and one that could not be read by the file that it should be in.
func (s *sources) add(kind Kind, file, name string, text []byte, err error) {
	switch {
	case err == nil, text != nil: // one that is of another kind is known too
		s.list = append(s.list, sim.NewDocument(string(kind), name, text))
	case looksLikeFile(file):
		s.list = append(s.list, sim.Document{Kind: string(kind), Name: filepath.Base(file), File: file})
	}
}

// addSequence notes a sequence; of a program that cannot be read both its files.
func (s *sources) addSequence(file, name string, text []byte, err error) {
	if text == nil && isProgram(file) {
		s.add(SequenceKind, BindingBeside(file), name, text, err)
	}
	s.add(SequenceKind, file, name, text, err)
}

// programKind is what a program is called among the sources of a case.
const programKind = "program"

// addProgram notes the program of a binding.
func (s *sources) addProgram(p programText) {
	switch {
	case p.file == "":
	case p.text == "": // it could not be read
		s.list = append(s.list, sim.Document{Kind: programKind, Name: filepath.Base(p.file), File: p.file})
	default:
		s.list = append(s.list, sim.NewDocument(programKind, p.file, []byte(p.text)))
	}
}

// replacedKind is what a sequence is called among the sources of a case in which a controller outside runs
// in its place: it gives its parameters, and perhaps its states.
const replacedKind = "replaced sequence"

// replaced says of the sequence that it does not run.
func (s *sources) replaced() {
	for i := range s.list {
		if s.list[i].Kind == string(SequenceKind) {
			s.list[i].Kind = replacedKind
		}
	}
}

// documentOf is a copy of the document of a sequence, which the caller may change.
func documentOf(logic sequence.Logic) (*sequence.Document, error) {
	p, ok := logic.(*sequence.Program)
	if !ok {
		return nil, fmt.Errorf("sequence %s is a program; must be a sequence document here", logic.About().Name)
	}
	d := p.Document().Clone()
	return &d, nil
}

func (c *cache) loadRig(reference string) (*plant.Rig, problem.List, error) {
	name, text, err := find(RigKind, reference, "")
	if err != nil {
		return nil, nil, err
	}
	return c.rig(name, text)
}

func (c *cache) loadLogic(reference string, reach Reach) (sequence.Logic, problem.List, error) {
	name, text, err := findSequence(reference, "")
	if err != nil {
		return nil, nil, err
	}
	logic, _, warnings, err := c.sequence(name, text, reach)
	return logic, warnings, err
}

// scenario makes a scenario of the whole source.
func (s *source) scenario() (sim.Scenario, error) {
	var sc sim.Scenario
	if err := s.decode("$", s.root(), &sc); err != nil {
		return sc, err
	}
	return sc, s.checkNames(sc.Scenario, sc.Title)
}

// checkNames requires a name and a title.
func (s *source) checkNames(name, title string) error {
	var found problem.List
	if name == "" {
		found = append(found, s.problem("$.scenario", 0, "scenario has no name; must be a short name such as lining-worn-thin"))
	}
	if title == "" {
		found = append(found, s.problem("$.title", 0, "title is missing; must be one line of plain text"))
	}
	return found.OrNil()
}

// parseCase makes a case of the text of a scenario and of what it names, see [ParseCase].
func (c *cache) parseCase(name string, text []byte, o Overrides) (*sim.Case, problem.List, error) {
	read := sources{[]sim.Document{sim.NewDocument(string(ScenarioKind), name, text)}}
	return c.parseCaseFrom(name, text, o, &read)
}

func (c *cache) parseCaseFrom(name string, text []byte, o Overrides, read *sources) (*sim.Case, problem.List, error) {
	sc, src, err := c.scenario(name, text)
	if err != nil {
		return nil, nil, err
	}
	src.reach = o.Reach
	rig, at, rigWarnings, err := c.rigOf(src, &sc, o, read)
	if err != nil {
		return nil, nil, err
	}
	logic, sequenceWarnings, err := c.sequenceOf(src, &sc, o, read)
	if err != nil {
		return nil, nil, err
	}
	own := o.Sequence != ""
	if o.Outside != nil {
		var ownStates bool
		if logic, ownStates, err = o.Outside(logic, rig); err != nil {
			return nil, nil, err
		}
		own = own || ownStates
		read.replaced()
	}
	notApplied := o.dropOwn(&sc, own, logic)
	written, seed := o.onTop(&sc)
	if found := nameFaults(&sc, rig, logic); len(found) > 0 {
		return nil, nil, src.placedOrSet(found, o)
	}
	ready, warnings, err := newCase(sc, rig, logic)
	warnings, err = at.place(warnings), at.place(problem.Of(err)).OrNil()
	if ready != nil {
		ready.Sources, ready.NotApplied = read.list, notApplied
		if len(o.Set) > 0 || o.Seed != 0 {
			document := ready.Scenario.Clone()
			document.Set, document.Seed = written, seed
			ready.Document = &document
		}
	}
	warnings = slices.Concat(rigWarnings, sequenceWarnings, src.placedOrSet(warnings, o))
	return ready, warnings, src.placedOrSet(problem.Of(err), o).OrNil()
}

// dropOwn removes from a scenario what holds only with its own rig or the states of its own sequence, and
// names the expectations among it.
func (o Overrides) dropOwn(sc *sim.Scenario, otherStates bool, logic sequence.Logic) (notApplied []string) {
	if o.Rig != "" || otherStates {
		sc.Lesson = nil // it refers to the scenario's own states and figures
	}
	if o.Rig != "" {
		notApplied = sc.Expect.OnAnotherRig()
	}
	if otherStates {
		notApplied = append(notApplied, sc.Expect.WithAnother(logic.About())...)
	}
	return notApplied
}

// onTop puts values and seed in the place of the scenario's own, and returns those.
func (o Overrides) onTop(sc *sim.Scenario) (set map[string]string, seed uint64) {
	set, seed = sc.Set, sc.Seed
	sc.Set = maps.Clone(set)
	if sc.Set == nil {
		sc.Set = map[string]string{}
	}
	maps.Copy(sc.Set, o.Set)
	sc.Seed = cmp.Or(o.Seed, seed)
	return set, seed
}

// placedOrSet finds where problems stand: in the document or on the command line.
func (s *source) placedOrSet(found problem.List, o Overrides) problem.List {
	var list problem.List
	for _, p := range found {
		if p.File != "" { // it is in another document
			list = append(list, p)
			continue
		}
		if p.File = o.Flag(p.Path); p.File == "" {
			p = s.located("$", problem.List{p})[0]
		}
		list = append(list, p)
	}
	return list
}

// Flag is the flag that set the value at the path of a problem, empty if none did.
func (o Overrides) Flag(path string) string {
	for key, text := range o.Set {
		if path == sim.SetPath(key) {
			return "--set " + key + "=" + text
		}
	}
	return ""
}

// rigOf is the rig of a scenario, and where it is written.
func (c *cache) rigOf(s *source, sc *sim.Scenario, o Overrides, read *sources) (*plant.Rig, rigPlace, problem.List, error) {
	var name string
	var text []byte
	var err error
	switch {
	case o.Rig != "":
		name, text, err = find(RigKind, o.Rig, "")
		read.add(RigKind, o.Rig, name, text, err)
	case sc.Rig.Text != "":
		rig, warnings, err := s.rig("$.rig", s.part("$.rig"))
		return rig, rigPlace{s, "$.rig"}, warnings, err
	case sc.Rig.Name == "":
		err = problem.List{s.problem("$.rig", 0, "rig is missing; must be a built-in name, a file or a rig written in place")}
	default:
		name, text, err = s.follow(RigKind, sc.Rig.Name, "$.rig")
		read.add(RigKind, within(s.folder(), sc.Rig.Name), name, text, err)
	}
	if err != nil {
		return nil, rigPlace{}, nil, err
	}
	rig, warnings, err := c.rig(name, text)
	return rig, rigPlace{&source{name: name, text: text}, "$"}, warnings, err
}

func (c *cache) sequenceOf(s *source, sc *sim.Scenario, o Overrides, read *sources) (sequence.Logic, problem.List, error) {
	var name string
	var text []byte
	var err error
	switch {
	case o.Sequence != "":
		name, text, err = findSequence(o.Sequence, "")
		read.addSequence(o.Sequence, name, text, err)
	case sc.Sequence.Text != "":
		logic, warnings, err := s.sequence("$.sequence", s.part("$.sequence"))
		read.addProgram(s.program)
		return logic, warnings, err
	case sc.Sequence.Name == "":
		return nil, nil, problem.List{s.problem("$.sequence", 0, "sequence is missing; must be a built-in name, a file or a sequence written in place")}
	default:
		name, text, err = s.follow(SequenceKind, sc.Sequence.Name, "$.sequence")
		read.addSequence(within(s.folder(), sc.Sequence.Name), name, text, err)
	}
	if err != nil {
		return nil, nil, err
	}
	logic, program, warnings, err := c.sequence(name, text, o.Reach)
	read.addProgram(program)
	return logic, warnings, err
}

// folder is where the files are that a document names, empty for a built-in one.
func (s *source) folder() string {
	if strings.HasPrefix(s.name, "builtin:") {
		return ""
	}
	return filepath.Dir(s.name)
}

// follow finds the document that a scenario names; a file is looked for beside the
// scenario. The text of one that is of another kind comes back beside the error.
func (s *source) follow(kind Kind, reference, path string) (name string, text []byte, err error) {
	err = s.checkReach(kind, reference)
	switch {
	case err != nil:
	case kind == SequenceKind:
		name, text, err = findSequence(reference, s.folder())
	default:
		name, text, err = find(kind, reference, s.folder())
	}
	if err == nil {
		err = foreign(kind, reference, name, text)
	}
	if err != nil {
		err = problem.List{s.problem(path, 0, err.Error())}
	}
	return name, text, err
}

// rig makes a rig of a node of the source.
func (s *source) rig(prefix string, node ast.Node) (*plant.Rig, problem.List, error) {
	r := plant.Defaults()
	if err := s.decode(prefix, node, &r); err != nil {
		return nil, nil, err
	}
	warnings, err := plant.Validate(&r)
	found := problem.Of(err)
	if r.Rig == "" {
		found.Add("rig", "rig is missing; must be a name of the rig, such as my-axis")
	}
	return &r, s.located(prefix, warnings), s.located(prefix, found).OrNil()
}

// sequence makes a sequence of a node of the source and vets it.
func (s *source) sequence(prefix string, node ast.Node) (sequence.Logic, problem.List, error) {
	if s.isBinding(node) {
		return s.bound(prefix, node)
	}
	var d sequence.Document
	if err := s.decode(prefix, node, &d); err != nil {
		return nil, nil, err
	}
	warnings, err := d.Vet(nil)
	warnings = s.located(prefix, warnings)
	if err != nil {
		return nil, warnings, s.located(prefix, problem.Of(err)).OrNil()
	}
	program, err := sequence.Compile(d, nil)
	return program, warnings, err
}

// located sets the lines of problems of a part of the document; prefix is the part's path.
func (s *source) located(prefix string, found problem.List) problem.List {
	var list problem.List
	for _, p := range found {
		path := prefix + "." + strings.TrimPrefix(strings.TrimPrefix(p.Path, "$"), ".")
		at := s.problem(path, p.Column, p.Message)
		at.Path, at.Warning, at.Note = p.Path, p.Warning, p.Note
		list = append(list, at)
	}
	return list
}
