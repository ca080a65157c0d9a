//go:build !nodesk && linux

package display

import (
	"encoding/binary"
	"io"
)

// Requests of the X11 core protocol that matter here (X Window System
// Protocol, X Consortium Standard, version 11 release 7, appendix B).
const (
	internAtom          = 16
	getProperty         = 20
	getKeyboardMapping  = 101
	getModifierMapping  = 119
	screenW, screenH    = 1280, 720
	rootWindow          = 0x100
	rootVisual          = 0x101
	rootMap             = 0x102
	firstKey, lastKey   = 8, 255
	longestRequestUnits = 65535
)

// answered lists the core requests to which a server owes a reply (same source).
var answered = [128]bool{
	3: true, 14: true, 15: true, 16: true, 17: true, 20: true, 21: true, 23: true, 26: true, 31: true,
	38: true, 39: true, 40: true, 43: true, 44: true, 47: true, 48: true, 49: true, 50: true, 52: true,
	73: true, 83: true, 84: true, 85: true, 86: true, 87: true, 91: true, 92: true, 97: true, 98: true,
	99: true, 101: true, 103: true, 106: true, 108: true, 110: true, 116: true, 117: true, 118: true, 119: true,
}

// serve speaks to one client until it goes. It has one empty screen, no
// extensions, no keys and no events; what it has no answer for is all zero.
func serve(client io.ReadWriter) {
	order, ok := greet(client)
	if !ok {
		return
	}
	atom := uint32(1000)
	for sequence := uint16(1); ; sequence++ {
		var head [4]byte
		if _, err := io.ReadFull(client, head[:]); err != nil {
			return
		}
		units := int(order.Uint16(head[2:]))
		if units < 1 {
			return // only an extension that is not offered makes longer ones
		}
		body := make([]byte, 4*(units-1))
		if _, err := io.ReadFull(client, body); err != nil {
			return
		}
		opcode := head[0]
		if opcode >= 128 || !answered[opcode] {
			continue
		}
		reply := make([]byte, 32)
		switch opcode {
		case internAtom:
			atom++
			order.PutUint32(reply[8:], atom)
		case getKeyboardMapping: // one symbol a key, none of them set
			reply[1] = 1
			reply = append(reply, make([]byte, 4*int(body[1]))...)
		case getModifierMapping: // one key for each of eight modifiers, none of them set
			reply[1] = 1
			reply = append(reply, make([]byte, 8)...)
		}
		reply[0] = 1
		order.PutUint16(reply[2:], sequence)
		order.PutUint32(reply[4:], uint32(len(reply)-32)/4)
		if _, err := client.Write(reply); err != nil {
			return
		}
	}
}

// greet reads the client's greeting and describes one 24-bit screen.
func greet(client io.ReadWriter) (binary.ByteOrder, bool) {
	var hello [12]byte
	if _, err := io.ReadFull(client, hello[:]); err != nil {
		return nil, false
	}
	var order binary.ByteOrder = binary.LittleEndian
	if hello[0] == 'B' {
		order = binary.BigEndian
	}
	padded := func(n uint16) int { return (int(n) + 3) &^ 3 }
	if _, err := io.ReadFull(client, make([]byte, padded(order.Uint16(hello[6:]))+padded(order.Uint16(hello[8:])))); err != nil {
		return nil, false
	}
	b := make([]byte, 8, 128)
	b[0] = 1 // accepted
	u8 := func(v ...byte) { b = append(b, v...) }
	u16 := func(v ...uint16) {
		for _, x := range v {
			b = append(b, 0, 0)
			order.PutUint16(b[len(b)-2:], x)
		}
	}
	u32 := func(v ...uint32) {
		for _, x := range v {
			b = append(b, 0, 0, 0, 0)
			order.PutUint32(b[len(b)-4:], x)
		}
	}
	u32(1, 0x200000, 0x1fffff, 0) // release, resource identifiers, motion buffer
	u16(0, longestRequestUnits)   // no vendor name
	u8(1, 2, 0, 0, 32, 32, firstKey, lastKey)
	u32(0)
	u8(1, 1, 32, 0, 0, 0, 0, 0) // pixmaps of depth 1
	u8(24, 32, 32, 0, 0, 0, 0, 0)
	u32(rootWindow, rootMap, 0xffffff, 0, 0)
	u16(screenW, screenH, 338, 190, 1, 1) // pixels, millimetres at 96 to the inch, colour maps
	u32(rootVisual)
	u8(0, 0, 24, 1) // root depth, one depth listed
	u8(24, 0)
	u16(1)
	u32(0)
	u32(rootVisual)
	u8(4, 8) // true colour
	u16(256)
	u32(0xff0000, 0xff00, 0xff, 0)
	order.PutUint16(b[2:], 11)
	order.PutUint16(b[6:], uint16((len(b)-8)/4))
	_, err := client.Write(b)
	return order, err == nil
}
