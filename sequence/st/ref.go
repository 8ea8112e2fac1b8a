package st

import (
	"fmt"
	"strconv"
	"strings"
)

// Ref is a variable of a block, found by Program.Find. It is valid for all instances of that
// block.
type Ref struct {
	*target
	offset int
	kind   Kind // of the type
	fixed  bool // a CONSTANT that other values are made of
}

// target is what a scan does not ask of a variable: a Ref stays small, as it is copied in every access.
type target struct {
	path     string
	variable *Variable // the declaration at the end of the path, before its indexes
	typ      *Type
}

// Path is the path with the names as they are declared.
func (r Ref) Path() string { return r.path }

// Type is the type of the value.
func (r Ref) Type() *Type { return r.typ }

// Variable is the declaration, that of the array for an element.
func (r Ref) Variable() *Variable { return r.variable }

// finder follows a path.
type finder struct {
	program *Program
	path    string
	rest    string
	ref     Ref
}

func (f *finder) find(b *Block) (Ref, error) {
	f.rest, f.ref.target = strings.TrimSpace(f.path), &target{}
	if err := f.name(b.Variables, b.Name); err != nil {
		return Ref{}, err
	}
	for f.rest != "" {
		var err error
		switch f.rest[0] {
		case '.':
			f.rest = f.rest[1:]
			err = f.member()
		case '[':
			err = f.index()
		default:
			err = fmt.Errorf("%q is no path: found %q; must be a point or a bracket", f.path, f.rest)
		}
		if err != nil {
			return Ref{}, err
		}
	}
	f.ref.kind, f.ref.fixed = f.ref.typ.kind, f.ref.variable.fixed
	return f.ref, nil
}

// name takes a name from the path and looks it up.
func (f *finder) name(list []*Variable, of string) error {
	end := strings.IndexAny(f.rest, ".[")
	if end < 0 {
		end = len(f.rest)
	}
	name := f.rest[:end]
	f.rest = f.rest[end:]
	var names []string
	for _, v := range list {
		if v.hidden {
			continue
		}
		if upper(v.Name) == upper(name) {
			if v.Section == InOut {
				return fmt.Errorf("%s is VAR_IN_OUT and belongs to the caller", v.Name)
			}
			f.ref.path += v.Name
			f.ref.variable, f.ref.typ = v, v.Type
			f.ref.offset += v.offset
			return nil
		}
		names = append(names, v.Name)
	}
	return fmt.Errorf("%s has no variable %q%s", of, name, suggest(name, names))
}

func (f *finder) member() error {
	t := f.ref.typ
	if t.kind != Struct && t.kind != Instance {
		return fmt.Errorf("%s is %s and has no members", f.ref.path, t)
	}
	list := t.fields
	if t.kind == Instance {
		list = t.block.Variables
	}
	f.ref.path += "."
	return f.name(list, t.String())
}

func (f *finder) index() error {
	t := f.ref.typ
	inside, rest, ok := strings.Cut(f.rest[1:], "]")
	if !ok {
		return fmt.Errorf("%q is no path: ] is missing", f.path)
	}
	f.rest = rest
	texts := strings.Split(inside, ",")
	if t.kind != Array || len(texts) != len(t.dims) {
		return fmt.Errorf("%s is %s; the index [%s] does not fit", f.ref.path, t, inside)
	}
	position := 0
	for i, d := range t.dims {
		n, err := strconv.ParseInt(strings.TrimSpace(texts[i]), 10, 64)
		if err != nil || n < d.Low || n > d.High {
			return fmt.Errorf("the index %s of %s must be an integer from %d to %d", strings.TrimSpace(texts[i]), f.ref.path, d.Low, d.High)
		}
		position = position*int(d.High-d.Low+1) + int(n-d.Low)
	}
	f.ref.path += "[" + inside + "]"
	f.ref.typ = t.elem
	f.ref.offset += position * f.program.checker.slots(t.elem)
	return nil
}
