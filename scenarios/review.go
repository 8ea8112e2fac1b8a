package scenarios

import (
	"holdbench/plant"
	"holdbench/plant/problem"
)

// Review is what a reader of a rig has to look at beside its values.
type Review struct {
	Defaults []*plant.Field // values that the document leaves out, in the order of the table
	Doubtful problem.List   // values that are permitted but implausible
}

// ReviewRig reads a rig that [LoadRig] accepts and reviews it.
func ReviewRig(reference string) (*plant.Rig, Review, error) {
	name, text, err := find(RigKind, reference, "")
	if err != nil {
		return nil, Review{}, err
	}
	src, err := read(name, text)
	if err != nil {
		return nil, Review{}, err
	}
	rig, _, err := src.rig("$", src.root())
	if err != nil {
		return nil, Review{}, err
	}
	return rig, Review{src.defaults(rig), src.located("$", plant.Implausible(rig))}, nil
}

// defaults are the values of a rig that the document leaves out.
func (s *source) defaults(rig *plant.Rig) []*plant.Field {
	var list []*plant.Field
	for _, f := range plant.Fields() {
		if !f.Applies(rig) {
			continue
		}
		if _, written := s.find(f.Path); !written {
			list = append(list, f)
		}
	}
	return list
}
