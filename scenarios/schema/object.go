// Package schema describes the documents and the JSON of holdbench: which keys they have, of which
// type, unit, range and default, and what they mean. It is made from the types and tables by which
// documents are read. JSON Schemas and the reference of the help are two forms of it.
package schema

import (
	"encoding/json"
	"fmt"
	"maps"
)

// Object is a piece of a JSON Schema.
type Object map[string]any

// Shape is what a value of a document is: its own rules, and the shapes within it.
type Shape struct {
	Rules  Object // keywords of JSON Schema about the value itself
	Says   string // the same in words, for the reference
	Keys   []Key  // of a mapping with these keys and no others
	Values *Shape // of a mapping with keys of the writer's own
	Own    string // what those keys are, in words
	Items  *Shape // of a list
	Table  bool   // its keys are names of a table that has a list of its own
	Each   *Shape // what any of these keys has

	definitions map[string]*Shape
}

// Key is one key of a mapping.
type Key struct {
	Name, Note string
	Required   bool
	Default    string // as a document writes it, empty if there is none
	Shape      *Shape

	preset any    // the default as JSON
	hover  string // what the description of a schema adds to the note
}

// object is the shape as JSON Schema.
func (s *Shape) object() Object {
	o := maps.Clone(s.Rules)
	if o == nil {
		o = Object{}
	}
	if s.Items != nil {
		o["items"] = s.Items.object()
	}
	if s.Keys != nil {
		s.properties(o)
	}
	if s.Values != nil {
		o["additionalProperties"] = s.Values.object()
	}
	return o
}

// properties adds the keys of a mapping.
func (s *Shape) properties(o Object) {
	properties, required := Object{}, []string{}
	for i := range s.Keys {
		k := &s.Keys[i]
		p := k.Shape.object()
		if k.Note != "" {
			p["description"] = k.Note + k.hover
		}
		if k.preset != nil {
			p["default"] = k.preset
		}
		properties[k.Name] = p
		if k.Required {
			required = append(required, k.Name)
		}
	}
	o["properties"], o["additionalProperties"] = properties, false
	if len(required) > 0 {
		o["required"] = required
	}
}

// render writes a schema with its head.
func render(name, title, about string, o Object) ([]byte, error) {
	whole := maps.Clone(o)
	maps.Copy(whole, Object{
		"$schema": "https://json-schema.org/draft/2020-12/schema", "$id": "urn:holdbench:schema:" + name,
		"title": title, "description": about,
	})
	made, err := json.MarshalIndent(whole, "", "  ")
	if err != nil {
		return nil, fmt.Errorf("schema of %s: %w", name, err)
	}
	return append(made, '\n'), nil
}
