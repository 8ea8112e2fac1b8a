package st

import "strings"

// recursion refuses blocks that call or contain themselves, which the standard does not allow
// and which would need unbounded memory.
func (c *checker) recursion() {
	done := map[*Block]bool{}
	for _, b := range c.file.blocks {
		c.descend(b, nil, done)
	}
}

// descend follows the calls and the instances of a block along a path.
func (c *checker) descend(b *Block, path []*Block, done map[*Block]bool) {
	if done[b] || b.native != nil {
		return
	}
	path = append(path, b)
	for _, next := range c.below(b) {
		if i := indexOf(path, next.block); i >= 0 {
			c.src.errorf(next.at, "recursion is not allowed: %s", cycleText(path[i:]))
			continue
		}
		c.descend(next.block, path, done)
	}
	done[b] = true
}

func indexOf(path []*Block, b *Block) int {
	for i, p := range path {
		if p == b {
			return i
		}
	}
	return -1
}

func cycleText(path []*Block) string {
	names := make([]string, 0, len(path)+1)
	for _, b := range path {
		names = append(names, b.Name)
	}
	return strings.Join(append(names, path[0].Name), " uses ")
}

// below are the FUNCTIONs that a block calls and the blocks of which it holds instances.
func (c *checker) below(b *Block) []blockCall {
	list := b.calls
	for _, v := range b.Variables {
		if v.Type == nil {
			continue
		}
		instances(v.Type, func(inner *Block) {
			list = append(list, blockCall{v.at, inner})
		})
	}
	return list
}

// instances calls f for each function block that a type contains.
func instances(t *Type, f func(*Block)) {
	switch t.kind {
	case Instance:
		f(t.block)
	case Array:
		instances(t.elem, f)
	case Struct:
		for _, v := range t.fields {
			if v.Type != nil {
				instances(v.Type, f)
			}
		}
	}
}
