package schema

import (
	"maps"
	"math"
	"reflect"
	"strings"

	"holdbench/sequence"
)

// Regular expressions of scalars that are texts in a document.
const (
	durationPattern = `^\+?((\d+(\.\d*)?|\.\d+)(ns|us|µs|μs|ms|s|m|h))+$`
	decimalPattern  = `^[+-]?(\d+(\.\d*)?|\.\d+)([eE][+-]?\d+)?$`
	wholePattern    = `^[+-]?\d+$`
	flagPattern     = `^(1|t|T|TRUE|true|True|0|f|F|FALSE|false|False)$`
)

// scalar is a value of a basic type.
func scalar(t reflect.Type) *Shape {
	switch t.Kind() {
	case reflect.Bool:
		return &Shape{Rules: Object{"type": "boolean"}, Says: "true or false"}
	case reflect.Float64:
		return &Shape{Rules: Object{"type": "number"}, Says: "a number"}
	case reflect.String:
		return text()
	case reflect.Uint64:
		return &Shape{Rules: Object{"type": "integer", "minimum": 0, "maximum": uint64(math.MaxUint64)}, Says: "a whole number"}
	case reflect.Int:
		return &Shape{Rules: Object{"type": "integer"}, Says: "a whole number"}
	}
	panic("schema: no form for a " + t.String())
}

// text is a text; the reader takes every single value for one.
func text() *Shape {
	return &Shape{Rules: Object{"type": []string{"string", "number", "boolean"}}, Says: "a text"}
}

// expression is an expression of a sequence. Whether it is right, the reader alone can say.
func expression() *Shape {
	return &Shape{Rules: Object{"type": []string{"string", "number", "boolean"}}, Says: "an expression"}
}

// words is one word of several.
func words(list []string) *Shape {
	return &Shape{Rules: Object{"enum": list}, Says: strings.Join(list, ", ")}
}

func duration() *Shape {
	return &Shape{Rules: Object{"type": []string{"string", "integer"}, "pattern": durationPattern, "minimum": 0, "maximum": 0}, Says: "a duration"}
}

// span is a duration of a sequence, or the name of a parameter.
func span() *Shape {
	param := strings.TrimSuffix(strings.TrimPrefix(sequence.NamePattern, "^"), "$")
	return &Shape{Rules: Object{
		"type":    []string{"string", "integer"},
		"pattern": "^(|[+-]?0|" + param + "|" + strings.Trim(durationPattern, "^$") + ")$", "minimum": 0, "maximum": 0,
	}, Says: "a duration, or a parameter in s"}
}

// times is a count of a sequence, or the name of a parameter.
func times() *Shape {
	return &Shape{Rules: Object{
		"type": []string{"string", "integer"}, "pattern": `^(|\+?\d+|-0+|` + strings.Trim(sequence.NamePattern, "^$") + ")$", "minimum": 0,
	}, Says: "a whole number, or a parameter"}
}

func list(of *Shape) *Shape {
	return &Shape{Rules: Object{"type": []string{"array", "null"}}, Items: of, Says: "a list"}
}

// oneOrSeveral is a single value, or a list of them with one at least.
func oneOrSeveral(one *Shape) *Shape {
	if one.Rules["enum"] != nil {
		return &Shape{Rules: Object{"anyOf": []Object{one.Rules, {"type": "array", "items": one.Rules, "minItems": 1}}}, Says: "one or a list of " + one.Says}
	}
	kinds := append([]string{"array"}, one.Rules["type"].([]string)...)
	return &Shape{Rules: Object{"type": kinds, "minItems": 1}, Items: one, Says: "one, or a list of several"}
}

// orNothing lets a value be left empty.
func orNothing(s *Shape) *Shape {
	c := *s
	c.Rules = maps.Clone(s.Rules)
	switch kinds := c.Rules["type"].(type) {
	case []string:
		c.Rules["type"] = append(append([]string{}, kinds...), "null")
	case string:
		c.Rules["type"] = []string{kinds, "null"}
	}
	return &c
}

// byName is a mapping with keys of the writer's own.
func byName(of *Shape) *Shape {
	return &Shape{Rules: Object{"type": []string{"object", "null"}}, Values: of, Own: "NAME", Says: "keys of your own"}
}

// named is a mapping by names that the writer gives in the form of the language.
func named(of *Shape, own string) *Shape {
	refused := append([]string{}, sequence.ReservedWords()...)
	for _, f := range sequence.Functions() {
		refused = append(refused, f.Name)
	}
	if own == "STATE" {
		refused = []string{"any"}
	}
	return &Shape{Rules: Object{
		"type":          []string{"object", "null"},
		"propertyNames": Object{"pattern": sequence.NamePattern, "not": Object{"enum": refused}},
	}, Values: of, Own: own, Says: "keys of your own"}
}

// keyed is a mapping with keys of a table.
func keyed(keys []Key) *Shape {
	return &Shape{Rules: Object{"type": []string{"object", "null"}}, Keys: keys, Says: "keys"}
}

// has is the rule that a key is there and not empty.
func has(key string) Object {
	return Object{"required": []string{key}, "properties": Object{key: Object{"not": Object{"type": "null"}}}}
}

// oneOfKeys is the rule that exactly one of some keys is there.
func oneOfKeys(keys ...string) Object {
	var rules []Object
	for _, k := range keys {
		rules = append(rules, has(k))
	}
	return Object{"oneOf": rules}
}
