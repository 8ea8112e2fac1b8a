package recording

import (
	"math"
	"regexp"
	"slices"
	"strconv"
	"strings"
)

// binding is one column that is read: where its signal goes and what makes it of a cell.
type binding struct {
	Signal
	index         int // of the column, from 0
	name          string
	scale, offset float64
	turned        bool   // the options have a - ahead of the column
	readAs        string // unit that was taken; empty: that of the signal
}

// heading is one column of a file: its name as it is, without a unit, and its unit.
type heading struct {
	name, stem, unit string
	ending           bool // the unit is the end of the name
}

func headings(names, units []string) []heading {
	var list []heading
	for i, name := range names {
		c := heading{name: name}
		c.stem, c.unit, c.ending = parted(name)
		if i < len(units) && strings.Trim(units[i], "[]()- ") != "" {
			c.unit, c.ending = strings.Trim(units[i], "[]() "), false
		}
		list = append(list, c)
	}
	return list
}

// parted parts the unit from a name: in brackets, or at the end behind a low line as in t_ms and speed_mm_s.
func parted(name string) (stem, unit string, ending bool) {
	bracket := regexp.MustCompile(`^(.*?)\s*[\[(]([^\])]*)[\])]$`)
	if m := bracket.FindStringSubmatch(name); m != nil {
		return m[1], m[2], false
	}
	parts := strings.Split(name, "_")
	for n := min(2, len(parts)-1); n > 0; n-- {
		if unit := strings.Join(parts[len(parts)-n:], "/"); isUnit(unit) {
			return strings.Join(parts[:len(parts)-n], "_"), unit, true
		}
	}
	return name, "", false
}

// isUnit is whether a text is a unit of anything.
func isUnit(text string) bool {
	return text == "%" || slices.ContainsFunc(Signals(), func(s Signal) bool { _, ok := s.factor(text); return ok })
}

// plainName is a name in one spelling.
func plainName(name string) string {
	return strings.ToLower(strings.Join(strings.Fields(name), "_"))
}

// bind finds the column of each signal: those of the options first, then those with the name of a signal.
func bind(columns []heading, width int, o *Options) (list []binding, leftOut []string, err error) {
	b := &binder{columns: columns, width: width, options: o, used: map[int]bool{}}
	for _, c := range o.Columns {
		if err := b.named(c); err != nil {
			return nil, nil, err
		}
	}
	for i := range columns {
		if err := b.byName(i); err != nil {
			return nil, nil, err
		}
	}
	for i, c := range columns {
		if !b.used[i] && c.name != "" {
			leftOut = append(leftOut, c.name)
		}
	}
	return b.list, leftOut, b.complete()
}

type binder struct {
	columns []heading
	width   int
	options *Options
	list    []binding
	used    map[int]bool
}

// complete is whether there is a time and a signal, and whether the options name nothing else.
func (b *binder) complete() error {
	columns := "the file has no heading; must be numbers of columns, as in time=#1"
	if len(b.columns) > 0 {
		columns = "the columns are " + b.names()
	}
	told := func(signal string) string {
		if len(b.columns) == 0 {
			return columns
		}
		return "must be named as with --columns " + signal + "=COLUMN; " + columns
	}
	switch {
	case !b.has("t_s"):
		return at(0, 0, "there is no column of the time; %s", told("time"))
	case len(b.list) == 1:
		return at(0, 0, "there is no column of a signal; %s", told("position_mm"))
	}
	for _, u := range b.options.Units {
		if !b.bound(u.Signal) {
			return at(0, 0, "a unit is given for %s, which has no column; %s", u.Signal, columns)
		}
	}
	for _, l := range b.options.Late {
		if !b.bound(l.Signal) || slices.ContainsFunc(signalsOf(l.Signal), func(s Signal) bool { return s.kind == timeOf }) {
			return at(0, 0, "%s is said to be late and has no column; %s", l.Signal, columns)
		}
	}
	return nil
}

func (b *binder) names() string {
	var names []string
	for i, c := range b.columns {
		if i == 30 {
			names = append(names, "…")
			break
		}
		names = append(names, strconv.Quote(c.name))
	}
	return strings.Join(names, ", ")
}

func (b *binder) has(signal string) bool {
	return slices.ContainsFunc(b.list, func(c binding) bool { return c.Name == signal })
}

// bound is whether a signal by its name or its short name has a column.
func (b *binder) bound(name string) bool {
	return slices.ContainsFunc(signalsOf(name), func(s Signal) bool { return b.has(s.Name) })
}

// named binds a column of the options.
func (b *binder) named(c Column) error {
	candidates := signalsOf(c.Signal)
	if len(candidates) == 0 {
		return at(0, 0, "%q is no signal; must be one of %s", c.Signal, signalNames())
	}
	if c.Absent {
		return nil
	}
	i, err := b.find(c, candidates)
	if err != nil {
		return err
	}
	return b.add(i, candidates, c)
}

// find is the column that the options name, by number or by name.
func (b *binder) find(c Column, candidates []Signal) (int, error) {
	if digits, numbered := strings.CutPrefix(c.Column, "#"); numbered {
		n, err := strconv.Atoi(digits)
		if err != nil || n < 1 || n > b.width {
			return 0, at(0, 0, "%s is column %s, and the lines have %d columns; must be #1 to #%d", c.Signal, c.Column, b.width, b.width)
		}
		return n - 1, nil
	}
	var places []int
	for _, same := range []func(h heading) bool{
		func(h heading) bool { return h.name == c.Column },
		func(h heading) bool { return strings.EqualFold(h.name, c.Column) },
		func(h heading) bool { return strings.EqualFold(h.stem, c.Column) },
	} {
		for i, h := range b.columns {
			if c.Column != "" && same(h) || c.Column == "" && isOneOf(h, candidates) {
				places = append(places, i)
			}
		}
		if len(places) > 0 {
			break
		}
	}
	wanted := c.Column
	if wanted == "" {
		wanted = c.Signal
	}
	switch {
	case len(places) > 1:
		return 0, at(0, 0, "the column %q is there %d times; must be a number, such as %s=#%d", wanted, len(places), c.Signal, places[0]+1)
	case len(places) == 1:
		return places[0], nil
	case len(b.columns) == 0:
		return 0, at(0, 0, "%s is column %q, and the file has no heading; must be a number, such as %s=#2", c.Signal, wanted, c.Signal)
	}
	return 0, at(0, 0, "there is no column %q; the columns are %s", wanted, b.names())
}

// isOneOf is whether a column has the name of one of the signals.
func isOneOf(h heading, list []Signal) bool {
	name, stem := plainName(h.name), plainName(h.stem)
	return slices.ContainsFunc(list, func(s Signal) bool {
		return name == s.Name || stem == s.Name || stem == s.Short || s.kind == timeOf && stem == "t"
	})
}

// byName binds a column that has the name of a signal.
func (b *binder) byName(i int) error {
	if b.used[i] {
		return nil
	}
	var candidates []Signal
	for _, s := range Signals() {
		if !isOneOf(b.columns[i], []Signal{s}) || slices.ContainsFunc(b.options.Columns, func(c Column) bool { return c.Signal == s.Name || c.Signal == s.Short }) {
			continue
		}
		if plainName(b.columns[i].name) == s.Name {
			candidates = []Signal{s}
			break
		}
		if _, ok := s.factor(b.columns[i].unit); ok || !b.columns[i].ending { // load_nm is no load in mm
			candidates = append(candidates, s)
		}
	}
	if len(candidates) == 0 {
		return nil
	}
	return b.add(i, candidates, Column{})
}

// add binds a column to that of the candidates that has its unit.
func (b *binder) add(i int, candidates []Signal, c Column) error {
	name := "#" + strconv.Itoa(i+1)
	unit := ""
	if i < len(b.columns) {
		name, unit = b.columns[i].name, b.columns[i].unit
	}
	for _, u := range b.options.Units {
		if slices.ContainsFunc(candidates, func(s Signal) bool { return u.Signal == s.Name || u.Signal == s.Short }) {
			unit = u.Unit
		}
	}
	if c.Scale == 0 {
		c.Scale = 1
	}
	signal, factor, err := resolve(name, unit, candidates, c)
	if err != nil {
		return err
	}
	if k := slices.IndexFunc(b.list, func(other binding) bool { return other.Name == signal.Name }); k >= 0 {
		return at(0, 0, "the columns %q and %q are both %s; must be one", b.list[k].name, name, signal.Name)
	}
	if signal.Unit == "" && signal.kind != count && (c.Offset != 0 || math.Abs(c.Scale) != 1 || c.Scale < 0 && signal.kind != boolean && len(signal.Words) != 2) {
		return at(0, 0, "%s has words or true and false, which have no scale; must be the column alone, or with a - ahead of it to invert it: %s=-%s", signal.Name, signal.Name, quotedName(name))
	}
	b.used[i] = true
	b.list = append(b.list, binding{Signal: signal, index: i, name: name, scale: c.Scale * factor, offset: c.Offset * factor, turned: c.Scale < 0, readAs: signal.unitOf(factor)})
	return nil
}

// resolve is the signal that a column has by its unit, and the factor to the unit of the signal.
func resolve(name, unit string, candidates []Signal, c Column) (Signal, float64, error) {
	first := candidates[0]
	exact := len(candidates) == 1 && (c.Signal == first.Name || plainName(name) == first.Name)
	switch {
	case first.Unit == "":
		return first, 1, nil
	case unit == "%" && c.Scale != 1 && len(candidates) == 1:
		return first, 1, nil
	case unit == "%":
		return first, 0, at(0, 0, "the column %q is in %%; must have a scale to %s, as in %s=%q*0.071", name, first.Unit, first.Name, name)
	case unit == "" && (exact || first.kind == timeOf && c.Column == ""):
		if exact {
			return first, 1, nil
		}
		return first, math.NaN(), nil // date-time stamps need none; else the first time asks for it
	}
	for _, s := range candidates {
		if factor, ok := s.factor(unit); ok {
			return s, factor, nil
		}
	}
	var accepted []string
	for _, s := range candidates {
		accepted = append(accepted, s.unitNames())
	}
	if unit == "" {
		if first.kind == timeOf {
			return first, math.NaN(), nil
		}
		return first, 0, at(0, 0, "the unit of the column %q is not known; must be given for %s, one of %s", name, first.Short, strings.Join(accepted, ", "))
	}
	return first, 0, at(0, 0, "the unit of the column %q is %q, which is none of %s; must be one of %s", name, unit, first.Short, strings.Join(accepted, ", "))
}

func signalNames() string {
	var names []string
	for _, s := range Signals() {
		if !slices.Contains(names, s.Short) {
			names = append(names, s.Short)
		}
	}
	return strings.Join(names, ", ")
}
