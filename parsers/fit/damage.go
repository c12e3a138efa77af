package fit

import (
	"errors"
	"fmt"

	"github.com/muktihari/fit/decoder"
)

// skipDamage moves pos from the damage it stands at to the next message that
// can be believed, and notes what was skipped. It gives false when there is
// none: the file ends here.
func (n *normaliser) skipDamage(cause error) bool {
	what := "an incomplete message"
	switch {
	case errors.Is(cause, errUnsound):
		what = "an impossible definition"
	case errors.Is(cause, errAstray):
		what = "a message with an impossible time"
	case errors.Is(cause, decoder.ErrMesgDefMissing):
		what = "a message whose definition is missing"
	}
	from := n.pos
	for at := from + 1; at < n.end && n.searched < maxSearch; at++ {
		n.searched++
		if n.believable(at) {
			n.pos = at
			n.out.salvage.add("", what+" was skipped")
			n.out.damaged = true
			return true
		}
	}
	n.out.damaged = true
	n.out.salvage.add("", fmt.Sprintf("%s at byte %d: left out from there on, %d bytes", what, from, n.end-from))
	return false
}

// evidence is how much speaks for a message standing where it seems to.
type evidence int

const (
	impossible evidence = iota - 1
	possible            // nothing against it
	likely              // a time within a day, any sound definition
	certain             // a time within minutes, a definition of a message that is read
)

// chain is how many messages in a row are weighed behind damage.
const chain = 3

// believable tells whether messages begin again at an offset: something must
// speak for the first, and it or the chain that it starts must come to
// certainty, unless the file ends. One more message without definition may
// follow a certain one, so the chain is not asked for more than that.
// Definitions met on the way count for the messages behind them.
func (n *normaliser) believable(at int) bool {
	plans := n.plans
	total := possible
	for i := range chain {
		if at == n.end {
			break
		}
		size, found := n.weigh(&plans, at)
		if found == impossible || i == 0 && found == possible {
			return false
		}
		if total += found; total >= certain {
			return true
		}
		at += size
	}
	return at == n.end && total >= likely
}

// weigh judges one message: its size, and what speaks for it.
func (n *normaliser) weigh(plans *[16]*plan, at int) (size int, found evidence) {
	header := n.data[at]
	if header&(compressedHeader|definitionHeader) == definitionHeader {
		return n.weighDefinition(plans, at)
	}
	local, isCompressed := header&0x0F, header&compressedHeader != 0
	if isCompressed {
		local = header >> 5 & 3
	}
	p := plans[local]
	switch {
	case !isCompressed && header&0x30 != 0: // bits that no message sets
		return 0, impossible
	case p == nil || at+p.sourceSize > n.end:
		return 0, impossible
	case isCompressed && (p.timeAt >= 0 || !n.compressed):
		// A compressed header stands in for a timestamp, never beside it, and
		// only some devices write them.
		return 0, impossible
	case isCompressed && p.known:
		return p.sourceSize, likely
	case p.timeAt < 0:
		return p.sourceSize, possible
	}
	return p.sourceSize, n.weighTime(p.order.Uint32(n.data[at+p.timeAt:]))
}

// Distances from the last good timestamp, in seconds. Four chance bytes come
// within a day with one in 25,000, within ten minutes with one in 3.6 million.
const (
	nearS = 24 * 3600
	soonS = 600
)

// weighTime judges a timestamp by how it continues the file.
func (n *normaliser) weighTime(stamp uint32) evidence {
	const deviceClock = 0x10000000 // below: seconds since the device was turned on
	d := int64(stamp) - int64(n.latest)
	switch {
	case n.latest == 0 && stamp != 0xFFFFFFFF && stamp >= deviceClock:
		return likely
	case d >= -soonS && d <= soonS:
		return certain
	case d >= -nearS && d <= nearS:
		return likely
	}
	return impossible
}

// lookAhead is how many bytes a message that continues the file is looked for
// behind one that does not: more than any message but a definition takes.
const lookAhead = 600

// astray tells whether the message at pos, with a timestamp, is none: its time
// is far from the last, while soon after it messages go on where the last left
// off. That is what it looks like when lost or foreign bytes put the reading
// out of step, in which it could stay to the end of the file, since messages
// repeat. When nothing goes on as before, the device's clock was set.
func (n *normaliser) astray(stamp uint32) bool {
	if stamp == 0xFFFFFFFF {
		return false
	}
	if n.latest != 0 && n.weighTime(stamp) == impossible {
		for at := n.pos + 1; at < min(n.pos+lookAhead, n.end) && n.searched < maxSearch; at++ {
			n.searched++
			if n.believable(at) {
				return true
			}
		}
	}
	n.latest = stamp
	return false
}

// weighDefinition judges a definition, for a message that the profile knows or
// a plausible other: sizes that are multiples of their types say more than
// any number does.
func (n *normaliser) weighDefinition(plans *[16]*plan, at int) (size int, found evidence) {
	rest := n.data[at:n.end]
	if len(rest) < 6 || rest[1] != 0 || rest[2] > 1 || rest[5] == 0 {
		return 0, impossible
	}
	size = 6 + 3*int(rest[5])
	if rest[0]&0x20 != 0 && size < len(rest) {
		size += 1 + 3*int(rest[size])
	}
	if size > len(rest) {
		return 0, impossible
	}
	for f := rest[6 : 6+3*int(rest[5])]; len(f) > 0; f = f[3:] {
		number, known := base(f[2]).number()
		if !known || f[1] == 0 || int(f[1])%baseTypes[number].size != 0 {
			return 0, impossible
		}
	}
	p, sound := newPlan(rest[:size], n.devs, &notes{})
	if !sound {
		return 0, impossible
	}
	plans[rest[0]&0x0F] = p
	if p.known {
		return size, certain
	}
	return size, likely
}
