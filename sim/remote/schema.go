package remote

import (
	"encoding/json"
	"fmt"
	"maps"
	"slices"
	"strconv"

	"holdbench/sequence"
)

// object is a piece of a schema.
type object map[string]any

// Schema is the JSON Schema (2020-12) of all lines, made from the tables of signals and keys: $defs has
// one for each line out and for the answers to it, and the whole holds for any of them.
func Schema() ([]byte, error) {
	defs := object{
		"hello": lineOut(typeHello, object{
			"version": object{"const": Version}, "rig": text(), "scan_s": above(0), "answer_within_s": object{"type": "number", "minimum": 0},
			"inputs": list("item"), "outputs": list("item"), "sequence": text(), "states": list("state"), "params": list("item"), "kept": list("item"),
		}),
		"reset": lineOut(typeReset, object{
			"rig": text(), "sequence": text(), "scan_s": above(0),
			"params": object{"type": "object", "additionalProperties": object{"type": []string{"number", "boolean", "null"}}},
		}),
		"scan":            lineOut(typeScan, object{"t_s": object{"type": "number", "minimum": 0}, "inputs": closed(signals(sequence.InputSignals(), false))}),
		"power_up":        lineOut(typePowerUp, object{}),
		"refused":         required(object{"type": "object", "properties": object{"type": object{"const": typeRefused}, "because": text()}}, "type", "because"),
		"answer":          closed(answerProperties()),
		"answer_to_hello": closed(greetingProperties()),
		"item": required(closed(object{
			"name": text(), "kind": object{"enum": []string{"boolean", "number", "word"}}, "unit": text(),
			"words": object{"type": "array", "items": text()}, "note": text(),
		}), "name", "kind"),
		"state": required(closed(object{"name": shortText(1), "end": endWords()}), "name"),
	}
	refs := []object{}
	for _, name := range []string{"hello", "reset", "scan", "power_up", "refused", "answer", "answer_to_hello"} {
		refs = append(refs, object{"$ref": "#/$defs/" + name})
	}
	made, err := json.MarshalIndent(object{
		"$schema": "https://json-schema.org/draft/2020-12/schema", "$id": "https://holdbench.invalid/controller/" + strconv.Itoa(Version),
		"title":       "Lines between holdbench and a controller",
		"description": fmt.Sprintf("Version %d of the protocol. hello, reset, scan, power_up and refused go to the controller; answer and answer_to_hello come from it.", Version),
		"anyOf":       refs, "$defs": defs,
	}, "", "  ")
	if err != nil {
		return nil, fmt.Errorf("schema of the protocol: %w", err)
	}
	return append(made, '\n'), nil
}

func text() object { return object{"type": "string"} }

// shortText is a text from the controller.
func shortText(least int) object {
	return object{"type": "string", "minLength": least, "maxLength": MaxText}
}

func above(least float64) object { return object{"type": "number", "exclusiveMinimum": least} }

func endWords() object { return object{"enum": []string{"pass", "fail", "stop"}} }

func list(of string) object {
	return object{"type": "array", "items": object{"$ref": "#/$defs/" + of}}
}

// closed is an object with no other keys than these.
func closed(properties object) object {
	return object{"type": "object", "properties": properties, "additionalProperties": false}
}

func required(o object, keys ...string) object {
	o["required"] = keys
	return o
}

// lineOut is a line to the controller. Later versions may add keys: clients ignore those they do not
// know.
func lineOut(kind string, properties object) object {
	keys := slices.Sorted(maps.Keys(properties))
	properties["type"], properties["n"] = object{"const": kind}, number0()
	return object{"type": "object", "properties": properties, "required": append(keys, "n", "type")}
}

func number0() object { return object{"type": "integer", "minimum": 0} }

// signals are signals by name. A number that goes out may be null, where it cannot be read.
func signals(table []sequence.Signal, fromController bool) object {
	o := object{}
	for i := range table {
		o[table[i].Name] = signalSchema(&table[i], fromController)
	}
	return o
}

func signalSchema(s *sequence.Signal, fromController bool) object {
	o := object{"description": s.Note}
	if unit := s.Unit.String(); unit != "" {
		o["description"] = s.Note + ", in " + unit
	}
	switch {
	case s.Kind == sequence.KindBoolean:
		o["type"] = "boolean"
	case s.Kind == sequence.KindNumber && fromController:
		o["type"], o["minimum"], o["maximum"] = "number", -MaxNumber, MaxNumber
	case s.Kind == sequence.KindNumber:
		o["type"] = []string{"number", "null"}
	case len(s.Words) > 0:
		o["enum"] = s.Words
	default:
		o["type"], o["maxLength"] = "string", MaxText
	}
	return o
}

func answerProperties() object {
	o := object{}
	for _, k := range AnswerKeys() {
		o[k.Name] = described(answerSchema(k.Name), k.About)
	}
	return o
}

func answerSchema(key string) object {
	switch key {
	case keyOutputs:
		return closed(signals(sequence.OutputSignals(), true))
	case keyKept:
		return object{"type": "object", "additionalProperties": object{"type": []string{"number", "boolean"}}}
	case keyEnd:
		return endWords()
	case keyN:
		return number0()
	}
	return shortText(0)
}

func described(o object, about string) object {
	o["description"] = about
	return o
}

func greetingProperties() object {
	names := func(table []sequence.Signal) object {
		return object{"type": "array", "items": object{"enum": signalNames(table)}}
	}
	shapes := object{
		keyVersion: object{"const": Version},
		"name":     shortText(0), "states": object{"type": "array", "maxItems": maxStates, "items": object{"$ref": "#/$defs/state"}},
		"start": shortText(0), "power_up": shortText(0), "causes": object{"type": "array", "maxItems": maxStates, "items": shortText(1)},
		"inputs": names(sequence.InputSignals()), "outputs": names(sequence.OutputSignals()), keyN: object{"const": 0},
	}
	o := object{}
	for _, k := range GreetingKeys() {
		o[k.Name] = described(shapes[k.Name].(object), k.About)
	}
	return o
}
