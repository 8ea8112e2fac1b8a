package export

import (
	"cmp"
	"errors"
	"fmt"
	"slices"
	"strings"
	"time"

	"github.com/expr-lang/expr/ast"

	"holdbench/sequence"
)

// STOptions choose how a program is written.
type STOptions struct {
	Heading Heading
	// Scan is the time between two scans; 0 leaves it without a value, to be connected.
	Scan time.Duration
	// Integers writes integer constants in place of enumerations, for a compiler that has none.
	Integers bool
	// Prefix is what the names begin with that a whole project shares; "" is [PrefixOf].
	Prefix string
}

// StructuredText writes a sequence as a function block in Structured Text, IEC 61131-3, second and
// third edition, and the binding by which the bench runs it; file is the name under which the program
// will be found. The program does in every scan what the sequence does. The error lists what cannot be
// written.
func StructuredText(p *sequence.Program, file string, o STOptions) (program, binding string, err error) {
	w := &stWriter{
		program: p, options: o, names: newNames(),
		signals: map[string]string{}, params: map[string]string{}, kept: map[string]string{}, before: map[string]string{},
		may: map[string]string{}, prefix: cmp.Or(o.Prefix, PrefixOf(p)), counters: countersOf(p),
	}
	w.nameAll()
	w.use()
	body := w.body()
	if len(w.refused) > 0 {
		return "", "", errors.Join(w.refused...)
	}
	w.out.Reset()
	w.valuesBlock()
	values := w.out.String()
	w.out.Reset()
	w.head()
	w.types()
	w.functions()
	w.out.WriteString(values)
	w.interfaces()
	w.out.WriteString(body)
	program = w.out.String()
	return program, w.binding(file), nil
}

// stWriter writes one program.
type stWriter struct {
	program *sequence.Program
	options STOptions
	names   *names
	prefix  string
	own     ownNames
	out     strings.Builder
	refused []error

	states, causes        *enumeration
	words                 map[string]*enumeration // by signal
	inputs, outputs       []sequence.Signal
	signals, params, kept map[string]string // identifier by name
	before                map[string]string // of an input in the scan before
	beforeOrder           []string

	used     map[string]bool // parameters that an expression or a duration reads
	counters map[string]bool // numbers that only count
	counts   map[string]bool // parameters that only say how often
	taken    map[string]string
	order    []string          // of the transitions in taken, by event
	most     int               // conditions of a state that must hold for a time
	may      map[string]string // flag by target of the transitions from any state
	mayOrder []string
	anyHeld  map[string]string // count by transition from any state
	mostAny  int               // conditions among them that must hold for a time

	divisors []string
	needs    struct{ sign, cosine, count, least, seconds bool }
}

func (w *stWriter) refuse(format string, values ...any) {
	err := fmt.Errorf(format, values...)
	if !slices.ContainsFunc(w.refused, func(e error) bool { return e.Error() == err.Error() }) {
		w.refused = append(w.refused, err)
	}
}

func (w *stWriter) line(depth int, format string, values ...any) {
	text := fmt.Sprintf(format, values...)
	if text != "" {
		w.out.WriteString(strings.Repeat("  ", depth))
	}
	w.out.WriteString(text + "\n")
}

// use finds out which parameters are read, and how.
func (w *stWriter) use() {
	w.used, w.counts, w.taken = map[string]bool{}, map[string]bool{}, map[string]string{}
	for _, s := range w.program.States() {
		for _, k := range s.Keeps {
			w.useExpr(k.Expr)
		}
		for _, a := range s.Sets {
			w.useExpr(a.Expr)
		}
	}
	for _, e := range w.edges() {
		w.useExpr(e.When)
		w.used[e.For.Text], w.used[e.After.Text] = true, true
	}
	for _, e := range w.edges() {
		times := w.times(e)
		if times == "" {
			continue
		}
		if _, isParam := w.params[times]; isParam && !w.used[times] {
			w.counts[times] = true
		}
		name := e.To
		if !e.Any {
			name = strings.TrimRight(e.Event, "0123456789/") + "_" + e.To
		}
		w.taken[e.Event] = w.names.new("n_" + name)
		w.order = append(w.order, e.Event)
	}
	for name := range w.counts {
		w.used[name] = true
	}
}

func (w *stWriter) useExpr(e *sequence.Expr) {
	if e == nil {
		return
	}
	visit(e.Node, func(node ast.Node) {
		if id, ok := node.(*ast.IdentifierNode); ok {
			w.used[id.Value] = true
		}
		if name, arguments, _ := sequence.CallOf(node); name == "previous" {
			w.previous(arguments[0].String())
		}
	})
}

// times is how often a transition may fire, as it is written; "" without limit.
func (w *stWriter) times(e *sequence.Edge) string { return timesOf(w.program, e) }

// isParam is whether a name is a parameter of the sequence.
func (w *stWriter) isParam(name string) bool { return w.params[name] != "" }
