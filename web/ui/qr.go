package ui

import (
	"errors"
	"strconv"
	"strings"
)

// qrVersion is how a size of QR code lays out its data with error correction of level M, about 15 % (ISO/IEC 18004, tables 9 and
// E.1): check words of a block, blocks and their data words, blocks that have one more, and where the alignment patterns are centred.
type qrVersion struct {
	check, blocks, words, longer int
	centres                      []int
}

// qrVersions are sizes 1 to 10: up to 213 bytes, more than an address of this program has.
var qrVersions = []qrVersion{
	{10, 1, 16, 0, nil},
	{16, 1, 28, 0, []int{6, 18}},
	{26, 1, 44, 0, []int{6, 22}},
	{18, 2, 32, 0, []int{6, 26}},
	{24, 2, 43, 0, []int{6, 30}},
	{16, 4, 27, 0, []int{6, 34}},
	{18, 4, 31, 0, []int{6, 22, 38}},
	{22, 2, 38, 2, []int{6, 24, 42}},
	{22, 3, 36, 2, []int{6, 26, 46}},
	{26, 4, 43, 1, []int{6, 28, 50}},
}

func (v qrVersion) data() int { return v.blocks*v.words + v.longer*(v.words+1) }

// errQRLong says that a text does not fit into the largest size.
var errQRLong = errors.New("too long for a QR code")

// qrCode is a QR code while it is laid out. fixed are the modules that no mask changes.
type qrCode struct {
	size  int
	dark  [][]bool
	fixed [][]bool
}

// encodeQR lays a text out as bytes, in the smallest size that holds it, with the mask that reads best.
func encodeQR(text string) (*qrCode, error) {
	for i, v := range qrVersions {
		number := i + 1
		words, fits := qrWords(text, number, v.data())
		if !fits {
			continue
		}
		q := newQR(number, v)
		q.place(qrInterleave(words, v))
		best, least := 0, 0
		for mask := range 8 {
			q.mask(mask)
			q.format(mask)
			if p := q.penalty(); mask == 0 || p < least {
				best, least = mask, p
			}
			q.mask(mask) // off again
		}
		q.mask(best)
		q.format(best)
		return q, nil
	}
	return nil, errQRLong
}

// qrWords are the data words: mode, length, the bytes, and what fills the rest.
func qrWords(text string, number, capacity int) (words []byte, fits bool) {
	var bits []bool
	put := func(value, n int) {
		for i := n - 1; i >= 0; i-- {
			bits = append(bits, value>>i&1 == 1)
		}
	}
	put(4, 4) // bytes
	if number < 10 {
		put(len(text), 8)
	} else {
		put(len(text), 16)
	}
	for _, b := range []byte(text) {
		put(int(b), 8)
	}
	if len(bits) > capacity*8 {
		return nil, false
	}
	put(0, min(4, capacity*8-len(bits)))
	put(0, (8-len(bits)%8)%8)
	for i := 0; i < len(bits); i += 8 {
		word := byte(0)
		for _, b := range bits[i : i+8] {
			word <<= 1
			if b {
				word |= 1
			}
		}
		words = append(words, word)
	}
	for i := 0; len(words) < capacity; i++ {
		words = append(words, [2]byte{0xec, 0x11}[i%2])
	}
	return words, true
}

// qrInterleave splits data words into blocks, works out their check words, and takes from each block in turn.
func qrInterleave(words []byte, v qrVersion) []byte {
	var blocks, checks [][]byte
	for i := range v.blocks + v.longer {
		n := v.words
		if i >= v.blocks {
			n++
		}
		blocks = append(blocks, words[:n])
		checks = append(checks, qrCheck(words[:n], v.check))
		words = words[n:]
	}
	var out []byte
	for _, of := range [][][]byte{blocks, checks} {
		for i := range v.words + v.check + 1 {
			for _, block := range of {
				if i < len(block) {
					out = append(out, block[i])
				}
			}
		}
	}
	return out
}

// qrTimes multiplies in the field of 256 that Reed–Solomon codes of QR are in (polynomial 0x11d).
func qrTimes(a, b byte) byte {
	product := 0
	for i := 7; i >= 0; i-- {
		product = product<<1 ^ (product>>7)*0x11d
		product ^= int(b>>i&1) * int(a)
	}
	return byte(product)
}

// qrCheck are the check words of a block: what is left when it is divided by the generator polynomial.
func qrCheck(data []byte, n int) []byte {
	generator := make([]byte, n)
	generator[n-1] = 1
	root := byte(1)
	for range n {
		for i := range generator {
			generator[i] = qrTimes(generator[i], root)
			if i+1 < n {
				generator[i] ^= generator[i+1]
			}
		}
		root = qrTimes(root, 2)
	}
	rest := make([]byte, n)
	for _, b := range data {
		factor := b ^ rest[0]
		rest = append(rest[1:], 0)
		for i := range rest {
			rest[i] ^= qrTimes(generator[i], factor)
		}
	}
	return rest
}

// newQR draws what each code of a size has: finders, timing, alignment, the size itself.
func newQR(number int, v qrVersion) *qrCode {
	size := 17 + 4*number
	q := &qrCode{size: size, dark: make([][]bool, size), fixed: make([][]bool, size)}
	for y := range size {
		q.dark[y], q.fixed[y] = make([]bool, size), make([]bool, size)
	}
	for i := range size {
		q.set(6, i, i%2 == 0)
		q.set(i, 6, i%2 == 0)
	}
	for _, at := range [][2]int{{3, 3}, {size - 4, 3}, {3, size - 4}} {
		q.rings(at[0], at[1], 4)
	}
	for _, y := range v.centres {
		for _, x := range v.centres {
			if last := size - 7; !(x == 6 && y == 6 || x == 6 && y == last || x == last && y == 6) {
				q.rings(x, y, 2)
			}
		}
	}
	q.format(0) // keeps its modules free; the real one comes with the mask
	if number >= 7 {
		rest := number
		for range 12 {
			rest = rest<<1 ^ (rest>>11)*0x1f25
		}
		bits := number<<12 | rest
		for i := range 18 {
			a, b := size-11+i%3, i/3
			q.set(a, b, bits>>i&1 == 1)
			q.set(b, a, bits>>i&1 == 1)
		}
	}
	return q
}

func (q *qrCode) set(x, y int, dark bool) { q.dark[y][x], q.fixed[y][x] = dark, true }

// rings are the squares around a finder (4 wide, the outermost light) or an alignment pattern (2 wide).
func (q *qrCode) rings(cx, cy, wide int) {
	for dy := -wide; dy <= wide; dy++ {
		for dx := -wide; dx <= wide; dx++ {
			x, y := cx+dx, cy+dy
			if x < 0 || y < 0 || x >= q.size || y >= q.size {
				continue
			}
			far := max(dx, -dx, dy, -dy)
			light := far == 2 || far == 4
			if wide == 2 {
				light = far == 1
			}
			q.set(x, y, !light)
		}
	}
}

// format writes the level of correction and the mask, twice, and the module that is always dark.
func (q *qrCode) format(mask int) {
	rest := mask // level M is 00
	for range 10 {
		rest = rest<<1 ^ (rest>>9)*0x537
	}
	bits := (mask<<10 | rest) ^ 0x5412
	on := func(i int) bool { return bits>>i&1 == 1 }
	for i := range 6 {
		q.set(8, i, on(i))
		q.set(5-i, 8, on(9+i))
	}
	q.set(8, 7, on(6))
	q.set(8, 8, on(7))
	q.set(7, 8, on(8))
	for i := range 8 {
		q.set(q.size-1-i, 8, on(i))
	}
	for i := 8; i < 15; i++ {
		q.set(8, q.size-15+i, on(i))
	}
	q.set(8, q.size-8, true)
}

// place fills the words in, two columns at a time, up and down, from the right.
func (q *qrCode) place(words []byte) {
	i := 0
	for right := q.size - 1; right >= 1; right -= 2 {
		if right == 6 {
			right = 5
		}
		for k := range q.size {
			y := k
			if (right+1)&2 == 0 {
				y = q.size - 1 - k
			}
			for _, x := range []int{right, right - 1} {
				if !q.fixed[y][x] && i < len(words)*8 {
					q.dark[y][x] = words[i/8]>>(7-i%8)&1 == 1
					i++
				}
			}
		}
	}
}

func (q *qrCode) mask(mask int) {
	for y := range q.size {
		for x := range q.size {
			if !q.fixed[y][x] && qrMasked(mask, x, y) {
				q.dark[y][x] = !q.dark[y][x]
			}
		}
	}
}

func qrMasked(mask, x, y int) bool {
	switch mask {
	case 0:
		return (x+y)%2 == 0
	case 1:
		return y%2 == 0
	case 2:
		return x%3 == 0
	case 3:
		return (x+y)%3 == 0
	case 4:
		return (x/3+y/2)%2 == 0
	case 5:
		return x*y%2+x*y%3 == 0
	case 6:
		return (x*y%2+x*y%3)%2 == 0
	}
	return ((x+y)%2+x*y%3)%2 == 0
}

// penalty is how badly a code reads: long runs, blocks, what looks like a finder, and more dark than light.
func (q *qrCode) penalty() int {
	sum, dark := 0, 0
	for y := range q.size {
		var row, column qrLine
		for x := range q.size {
			sum += row.next(q.dark[y][x]) + column.next(q.dark[x][y])
			if q.dark[y][x] {
				dark++
			}
			if x > 0 && y > 0 && q.dark[y][x] == q.dark[y-1][x] && q.dark[y][x] == q.dark[y][x-1] && q.dark[y][x] == q.dark[y-1][x-1] {
				sum += 3
			}
		}
	}
	percent := dark * 100 / (q.size * q.size)
	return sum + max(percent-50, 50-percent)/5*10
}

// qrLine goes along a row or column: the run of one shade that it is in, and the last eleven modules.
type qrLine struct {
	run, seen, last int
	dark            bool
}

// next takes a module in and says by how much it makes the line read worse: by three for the fifth of one shade, by one for each
// after it, and by forty for what looks like a finder with room on one side.
func (l *qrLine) next(dark bool) (worse int) {
	const finder, before, after = 11, 0b00001011101, 0b10111010000
	l.last = l.last << 1 & (1<<finder - 1)
	if dark {
		l.last |= 1
	}
	if l.seen++; l.seen > 1 && dark == l.dark {
		l.run++
	} else {
		l.run, l.dark = 1, dark
	}
	switch {
	case l.run == 5:
		worse = 3
	case l.run > 5:
		worse = 1
	}
	if l.seen >= finder && (l.last == before || l.last == after) {
		worse += 40
	}
	return worse
}

// qrQuiet is how many light modules there are around a code.
const qrQuiet = 4

// qrPath draws the dark modules of a text's code as one SVG path; the side is that of the whole with its margin. A text that is
// too long has none.
func qrPath(text string) (path string, side int) {
	q, err := encodeQR(text)
	if err != nil {
		return "", 0
	}
	var b strings.Builder
	for y := range q.size {
		for x := 0; x < q.size; x++ {
			from := x
			for x < q.size && q.dark[y][x] {
				x++
			}
			if x > from {
				b.WriteString("M" + strconv.Itoa(from+qrQuiet) + " " + strconv.Itoa(y+qrQuiet) + "h" + strconv.Itoa(x-from) + "v1h-" + strconv.Itoa(x-from) + "z")
			}
		}
	}
	return b.String(), q.size + 2*qrQuiet
}

func qrBox(side int) string { return "0 0 " + strconv.Itoa(side) + " " + strconv.Itoa(side) }
