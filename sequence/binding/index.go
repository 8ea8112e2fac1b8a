package binding

import "slices"

// index finds the place of a value in a list, most of the time in a table.
type index struct {
	list  []int64
	table []int32 // by the value; -1 for one that is not in the list. nil if one is negative or large
}

func indexOf(list []int64) index {
	const most = 256
	x := index{list: list}
	for place, v := range list {
		if v < 0 || v >= most {
			return index{list: list}
		}
		for int64(len(x.table)) <= v {
			x.table = append(x.table, -1)
		}
		if x.table[v] < 0 {
			x.table[v] = int32(place) //nolint:gosec // as many as there are words or states
		}
	}
	return x
}

// place is that of a value, -1 if it is not in the list.
func (x *index) place(v int64) int {
	switch {
	case x.table == nil:
		return slices.Index(x.list, v)
	case v < 0 || v >= int64(len(x.table)):
		return -1
	}
	return int(x.table[v])
}
