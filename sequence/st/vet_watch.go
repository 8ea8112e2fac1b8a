package st

import "slices"

// explorer prepares a search in a block.
func (p *Program) explorer(b *Block, o VetOptions, waiters []*waiter) *explorer {
	e := &explorer{program: p, block: b, passes: o.Passes}
	t := p.inventory(b)
	e.numbers, e.timers = t.numbers, t.timers
	var seeds []*Variable
	if o.Main == b && len(o.Steps) > 0 {
		seeds = e.watchSteps(o, waiters)
	} else {
		seeds = e.watchCharts(t, o, waiters)
	}
	relevant := relevantTo(b, seeds)
	for _, v := range b.Variables {
		if relevant[v] {
			e.depended = append(e.depended, stretch{v.offset, v.offset + p.checker.slotsOf(v)})
		}
	}
	for _, l := range p.freeInputs(b, o, t) {
		if relevant[b.byName[upper(pathRoot(l.ref.path))]] {
			e.freeInputs = append(e.freeInputs, l)
		}
	}
	free := map[*Variable]bool{}
	for i := range e.freeInputs {
		free[b.byName[upper(pathRoot(e.freeInputs[i].ref.path))]] = true
	}
	e.machine, e.steering = p.steered(b, func(v *Variable) bool {
		return free[v] || v.Section == Input && b.byName[upper(v.Name)] != v
	})
	for _, name := range o.Settings {
		if r, err := p.Find(b, name); err == nil && (r.kind == Bool || r.kind.integer()) {
			e.settings = append(e.settings, r)
		}
	}
	e.setUp(o.Begins)
	return e
}

// setUp makes the memories with which runs begin.
func (e *explorer) setUp(begins []func(*Machine) error) {
	if len(begins) == 0 {
		begins = []func(*Machine) error{func(*Machine) error { return nil }}
	}
	m := e.machine
	for _, begin := range begins {
		if m.power(make([]uint64, len(m.run.mem))); begin(m) == nil {
			e.begins = append(e.begins, moment{mem: slices.Clone(m.run.mem), from: origin{setting: -1}})
		}
	}
}

// watchSteps watches the step that is active: the first whose variable is TRUE.
func (e *explorer) watchSteps(o VetOptions, waiters []*waiter) (seeds []*Variable) {
	b := e.block
	var refs []Ref
	for _, name := range o.Steps {
		if r, err := e.program.Find(b, name); err == nil {
			refs = append(refs, r)
			seeds = append(seeds, b.byName[upper(pathRoot(r.path))])
		}
	}
	s := e.watch(func(m *Machine) int64 {
		return int64(slices.IndexFunc(refs, m.Bool))
	})
	s.owner, s.relevant = b, relevantTo(b, seeds)
	for _, w := range waiters {
		if w.state == nil {
			s.await(w)
		}
	}
	return seeds
}

// watchCharts watches the variables of states, in the block and in the instances within.
func (e *explorer) watchCharts(t *inventory, o VetOptions, waiters []*waiter) (seeds []*Variable) {
	for _, at := range t.instances {
		var seen []*Variable
		for _, w := range waiters {
			known := o.State == "" || w.state != nil && upper(o.State) == upper(at.path+w.state.Name)
			if w.state == nil || w.vetter.block != at.block || !known || slices.Contains(seen, w.state) {
				continue
			}
			seen = append(seen, w.state)
			seeds = append(seeds, e.watchChart(at, w.state, waiters))
		}
	}
	return seeds
}

// watchChart watches a variable of an instance. It returns the variable of the block itself that it is
// a part of.
func (e *explorer) watchChart(at instancePlace, state *Variable, waiters []*waiter) *Variable {
	offset := at.offset + state.offset
	s := e.watch(func(m *Machine) int64 { return int64(m.run.mem[offset]) })
	s.prefix, s.owner, s.relevant = at.path, at.block, relevantTo(at.block, []*Variable{state})
	for _, w := range waiters {
		if w.state == state {
			s.await(w)
		}
	}
	if at.path == "" {
		return state
	}
	return e.block.byName[upper(pathRoot(at.path))]
}

func (e *explorer) watch(now func(*Machine) int64) *subject {
	s := &subject{now: now, places: map[int64]*statePlace{}}
	e.subjects = append(e.subjects, s)
	return s
}

func (s *subject) await(w *waiter) {
	p := &statePlace{subject: s, value: w.value, waiter: w}
	w.places = append(w.places, p)
	s.places[w.value] = p
	s.order = append(s.order, p)
}
