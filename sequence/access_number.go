package sequence

// InputPlace is the place in Words of the word that the image has; -1 for another kind, or a word that
// is not among them.
func (s *Signal) InputPlace(in *Inputs) int {
	if s.in.word == nil {
		return -1
	}
	return indexOf(s.Words, *s.in.word(in))
}

// SetInputNumber writes an input or a kept value into the image: a number, a boolean, which is true
// unless the number is 0, or a word by its place in Words. It is false if there is no such word.
func (s *Signal) SetInputNumber(in *Inputs, v float64) bool {
	switch {
	case s.in.number != nil:
		*s.in.number(in) = v
	case s.in.boolean != nil:
		*s.in.boolean(in) = v != 0
	case s.in.word != nil:
		place, ok := s.place(v)
		if !ok {
			return false
		}
		*s.in.word(in) = s.Words[place]
	default:
		return false
	}
	return true
}

// SetOutputNumber is the opposite of OutputNumber: a number, a boolean, which is true unless the
// number is 0, or a word by its place in Words. It is false if there is no such word; free text is
// left as it is.
func (s *Signal) SetOutputNumber(out *Outputs, v float64) bool {
	switch {
	case s.out.number != nil:
		*s.out.number(out) = v
	case s.out.boolean != nil:
		*s.out.boolean(out) = v != 0
	case s.out.set != nil:
		place, ok := s.place(v)
		if !ok {
			return false
		}
		s.out.set(out, place)
	default:
		return false
	}
	return true
}

// place is a number as a place in Words.
func (s *Signal) place(v float64) (int, bool) {
	place := int(v)
	return place, float64(place) == v && place >= 0 && place < len(s.Words)
}
