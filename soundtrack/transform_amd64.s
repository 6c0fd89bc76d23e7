//go:build !purego

#include "textflag.h"

// Signs for even and odd lanes.
DATA evens<>+0(SB)/8, $0x0000000080000000
DATA evens<>+8(SB)/8, $0x0000000080000000
GLOBL evens<>(SB), RODATA|NOPTR, $16
DATA odds<>+0(SB)/8, $0x8000000000000000
DATA odds<>+8(SB)/8, $0x8000000000000000
GLOBL odds<>(SB), RODATA|NOPTR, $16

// X0..X3 are a b c d, two points each. Leaves y0 in X6 and the sums that are
// still to be turned in X2 (for y1), X4 (y2) and X0 (y3); X15 holds odds.
#define SUMS \
	MOVAPS X0, X4; ADDPS X2, X4; SUBPS X2, X0; \
	MOVAPS X1, X5; ADDPS X3, X5; SUBPS X3, X1; \
	MOVAPS X4, X6; ADDPS X5, X6; SUBPS X5, X4; \
	SHUFPS $0xB1, X1, X1; XORPS X15, X1; \
	MOVAPS X0, X2; ADDPS X1, X2; SUBPS X1, X0

// p = p·w, w given as (re re) and (-im im); t is overwritten.
#define TURN(p, re, im, t) \
	MOVAPS p, t; SHUFPS $0xB1, t, t; MULPS re, p; MULPS im, t; ADDPS t, p

#define FACTOR(at, re, im) \
	MOVSS at(BX), re; SHUFPS $0, re, re; \
	MOVSS at+4(BX), im; SHUFPS $0, im, im; XORPS X14, im

// func butterflies(y, x *point, apart, along, n int, w *[3]point)
TEXT ·butterflies(SB), NOSPLIT, $0-48
	MOVQ y+0(FP), DI
	MOVQ x+8(FP), SI
	MOVQ apart+16(FP), R8
	MOVQ along+24(FP), R9
	MOVQ n+32(FP), CX
	MOVQ w+40(FP), BX
	SHLQ $3, R8            // bytes from one input row to the next
	SHLQ $3, R9            // and output row
	LEAQ (R8)(R8*2), R10
	LEAQ (R9)(R9*2), R11
	MOVUPS evens<>(SB), X14
	MOVUPS odds<>(SB), X15
	FACTOR(0, X8, X9)
	FACTOR(8, X10, X11)
	FACTOR(16, X12, X13)
next:
	MOVUPS (SI), X0
	MOVUPS (SI)(R8*1), X1
	MOVUPS (SI)(R8*2), X2
	MOVUPS (SI)(R10*1), X3
	SUMS
	MOVUPS X6, (DI)
	TURN(X2, X8, X9, X3)
	MOVUPS X2, (DI)(R9*1)
	TURN(X4, X10, X11, X5)
	MOVUPS X4, (DI)(R9*2)
	TURN(X0, X12, X13, X1)
	MOVUPS X0, (DI)(R11*1)
	ADDQ $16, SI
	ADDQ $16, DI
	SUBQ $2, CX
	JGT  next
	RET

// func opening(y *point, samples, window *float32, n int, w *[24]float32)
TEXT ·opening(SB), NOSPLIT, $0-40
	MOVQ y+0(FP), DI
	MOVQ samples+8(FP), SI
	MOVQ window+16(FP), DX
	MOVQ n+24(FP), CX
	MOVQ w+32(FP), BX
	MOVQ CX, R8
	SHLQ $3, R8
	LEAQ (R8)(R8*2), R10
	MOVUPS odds<>(SB), X15
pair:
	MOVUPS (SI), X0
	MOVUPS (DX), X8
	MULPS  X8, X0
	MOVUPS (SI)(R8*1), X1
	MOVUPS (DX)(R8*1), X9
	MULPS  X9, X1
	MOVUPS (SI)(R8*2), X2
	MOVUPS (DX)(R8*2), X10
	MULPS  X10, X2
	MOVUPS (SI)(R10*1), X3
	MOVUPS (DX)(R10*1), X11
	MULPS  X11, X3
	SUMS
	MOVLPS X6, (DI)
	MOVHPS X6, 32(DI)
	MOVUPS (BX), X8
	MOVUPS 16(BX), X9
	TURN(X2, X8, X9, X3)
	MOVLPS X2, 8(DI)
	MOVHPS X2, 40(DI)
	MOVUPS 32(BX), X8
	MOVUPS 48(BX), X9
	TURN(X4, X8, X9, X5)
	MOVLPS X4, 16(DI)
	MOVHPS X4, 48(DI)
	MOVUPS 64(BX), X8
	MOVUPS 80(BX), X9
	TURN(X0, X8, X9, X1)
	MOVLPS X0, 24(DI)
	MOVHPS X0, 56(DI)
	ADDQ $16, SI
	ADDQ $16, DX
	ADDQ $64, DI
	ADDQ $96, BX
	SUBQ $2, CX
	JGT  pair
	RET
