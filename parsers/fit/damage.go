package fit

import (
	"errors"
	"fmt"

	"github.com/muktihari/fit/decoder"
)

// skipDamage moves pos from the damage it stands at to the next message that
// can be believed, and notes what was skipped. It gives false when there is
// none: the file ends here.
func (n *normaliser) skipDamage(end int, cause error) bool {
	what := "an incomplete message"
	switch {
	case errors.Is(cause, errUnsound):
		what = "an impossible definition"
	case errors.Is(cause, decoder.ErrMesgDefMissing):
		what = "a message whose definition is missing"
	}
	from := n.pos
	for at := from + 1; at < end && n.searched < maxSearch; at++ {
		n.searched++
		if n.believable(at, end) {
			n.pos = at
			n.out.salvage.add(what + " was skipped")
			return true
		}
	}
	n.out.salvage.add(fmt.Sprintf("%s at byte %d: the last %d bytes were left out", what, from, end-from))
	return false
}

// chain is how many messages in a row must make sense behind damage.
const chain = 3

// believable tells whether messages seem to begin at an offset: a chain of
// them must make sense, or all that there are up to the end, and one of them
// must have something to recognise it by. Definitions met on the way count for
// the messages behind them.
func (n *normaliser) believable(at, end int) bool {
	plans := n.plans
	recognised := false
	for range chain {
		if at == end {
			break
		}
		size, sure, ok := n.weigh(&plans, at, end)
		if !ok {
			return false
		}
		recognised = recognised || sure
		at += size
	}
	return recognised
}

// weigh judges one message: its size, whether anything about it can be
// recognised, and whether it makes sense at all.
func (n *normaliser) weigh(plans *[16]*plan, at, end int) (size int, sure, ok bool) {
	header := n.data[at]
	if header&(compressedHeader|definitionHeader) == definitionHeader {
		return n.weighDefinition(plans, at, end)
	}
	local := header & 0x0F
	if header&compressedHeader != 0 {
		local = header >> 5 & 3
	} else if header&0x30 != 0 {
		return 0, false, false // bits that no message sets
	}
	p := plans[local]
	if p == nil || at+p.sourceSize > end {
		return 0, false, false
	}
	if p.timeAt < 0 {
		return p.sourceSize, false, true
	}
	stamp := p.order.Uint32(n.data[at+p.timeAt:])
	near := n.near(stamp)
	return p.sourceSize, near, near
}

// nearS is how far from the last good timestamp one behind damage may lie: a
// day. Chance hits that with one in 50,000.
const nearS = 24 * 3600

// near tells whether a timestamp continues the file.
func (n *normaliser) near(stamp uint32) bool {
	if n.clock.last == 0 {
		return stamp != 0xFFFFFFFF && stamp >= 0x10000000
	}
	d := int64(stamp) - int64(n.clock.last)
	return d >= -nearS && d <= nearS
}

// weighDefinition judges a definition, for a message that the profile knows or
// a plausible other: sizes that are multiples of their types say more than
// any number does.
func (n *normaliser) weighDefinition(plans *[16]*plan, at, end int) (size int, sure, ok bool) {
	rest := n.data[at:end]
	if len(rest) < 6 || rest[1] != 0 || rest[2] > 1 || rest[5] == 0 {
		return 0, false, false
	}
	size = 6 + 3*int(rest[5])
	if rest[0]&0x20 != 0 && size < len(rest) {
		size += 1 + 3*int(rest[size])
	}
	if size > len(rest) {
		return 0, false, false
	}
	for f := rest[6 : 6+3*int(rest[5])]; len(f) > 0; f = f[3:] {
		number, known := base(f[2]).number()
		if !known || f[1] == 0 || int(f[1])%baseTypes[number].size != 0 {
			return 0, false, false
		}
	}
	p, sound := newPlan(rest[:size], n.devs, &notes{})
	if !sound {
		return 0, false, false
	}
	plans[rest[0]&0x0F] = p
	return size, profile[p.message] != nil, true
}
