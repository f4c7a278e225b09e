/* The inner loops of the search for a field: fitting lines, walking faces, measuring a loop.

   Plain C99 on the stable interface of Python, buffers in and out. Every function has a twin in Python
   that gives the very same figures (lattice.py, walk.py, rate.py): integers
   throughout, and for the fit of lines additions of doubles in the same order. */

#ifndef Py_LIMITED_API
#define Py_LIMITED_API 0x030b0000
#endif
#define PY_SSIZE_T_CLEAN
#include <Python.h>
#include <limits.h>
#include <math.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#define FORM 2 /* of the calls below; the Python side asks for the same number */

static PyObject *refused(const char *why)
{
    PyErr_SetString(PyExc_ValueError, why);
    return NULL;
}

/* ---- lines: dynamic programme over (index, parity of the number of lines up to it) ---- */

typedef struct {
    Py_ssize_t count, gaps;
    const double *step[2], *first, *last; /* step[parity][gap][index] */
    const int32_t *gap;
} Axis;

static Py_ssize_t cheapest(const Axis *on, int parity, double *best[2], int32_t *origin[2], double *cost)
{
    Py_ssize_t n = on->count, a, g, end = -1;
    for (a = 0; a < n; a++) {
        best[0][a] = HUGE_VAL;
        best[1][a] = on->first[a];
        origin[0][a] = origin[1][a] = -1;
    }
    for (a = 0; a < n; a++)
        for (int odd = 0; odd < 2; odd++) {
            double here = best[odd][a];
            if (here == HUGE_VAL)
                continue;
            for (g = 0; g < on->gaps; g++) {
                double total = here + on->step[odd][g * n + a];
                Py_ssize_t to = a + on->gap[g];
                if (total < HUGE_VAL && to < n && total < best[1 - odd][to]) {
                    best[1 - odd][to] = total;
                    origin[1 - odd][to] = (int32_t)a;
                }
            }
        }
    *cost = HUGE_VAL;
    for (a = 0; a < n; a++) {
        double total = best[parity][a] + on->last[a];
        if (total < *cost) {
            *cost = total;
            end = a;
        }
    }
    return end;
}

static PyObject *traced(int32_t *origin[2], Py_ssize_t end, int parity, double cost)
{
    PyObject *lines = PyList_New(0);
    if (!lines)
        return NULL;
    for (int odd = parity; end >= 0; odd = 1 - odd) {
        PyObject *at = PyLong_FromSsize_t(end);
        if (!at || PyList_Insert(lines, 0, at) < 0) {
            Py_XDECREF(at);
            Py_DECREF(lines);
            return NULL;
        }
        Py_DECREF(at);
        end = origin[odd][end];
    }
    return Py_BuildValue("Nd", lines, cost);
}

/* fit(step_even, step_odd, first, last, gaps, parity) -> ([indices], cost); no indices where there is no way */
static PyObject *fit(PyObject *self, PyObject *args)
{
    Py_buffer even, odd, first, last, gaps;
    int parity;
    PyObject *result = NULL;
    if (!PyArg_ParseTuple(args, "y*y*y*y*y*i", &even, &odd, &first, &last, &gaps, &parity))
        return NULL;
    Axis on = {first.len / (Py_ssize_t)sizeof(double), gaps.len / (Py_ssize_t)sizeof(int32_t), {even.buf, odd.buf},
               first.buf, last.buf, gaps.buf};
    Py_ssize_t n = on.count;
    double *best = malloc((2 * n + 1) * sizeof(double)), cost;
    int32_t *origin = malloc((2 * n + 1) * sizeof(int32_t));
    if (!best || !origin)
        PyErr_NoMemory();
    else if (last.len != first.len || even.len != first.len * on.gaps || odd.len != even.len || (parity & ~1))
        refused("arrays of different sizes");
    else {
        double *bests[2] = {best, best + n};
        int32_t *origins[2] = {origin, origin + n};
        Py_ssize_t end = cheapest(&on, parity, bests, origins, &cost);
        result = traced(origins, end, parity, cost);
    }
    free(best);
    free(origin);
    PyBuffer_Release(&even);
    PyBuffer_Release(&odd);
    PyBuffer_Release(&first);
    PyBuffer_Release(&last);
    PyBuffer_Release(&gaps);
    return result;
}

/* ---- faces: a simply connected set that grows, and its boundary ---- */

typedef struct {
    Py_ssize_t columns, rows; /* lines across and along */
    Py_ssize_t width, size;   /* of the flat arrays with a closed rim: a face has the index of its south-west node */
    uint8_t *open, *count, *taken;
    const uint8_t *tight; /* [column][row][west, east][south, north] */
    int has_tight;
} Faces;

static Py_ssize_t at_face(const Faces *on, Py_ssize_t i, Py_ssize_t j)
{
    return (i + 1) * on->width + j + 1;
}

static int cuts(const Faces *on, Py_ssize_t face)
{
    const Py_ssize_t w = on->width, nodes[4] = {face, face + 1, face + w, face + w + 1};
    const Py_ssize_t turned[4] = {-w - 1, -w, -1, 0}; /* faces round a node: (q, r) = 00, 01, 10, 11 */
    for (int n = 0; n < 4; n++) {
        if (on->count[nodes[n]] != 2)
            continue;
        Py_ssize_t i = nodes[n] / w - 1, j = nodes[n] % w - 1;
        for (int q = 0; q < 4; q++) {
            Py_ssize_t missing = nodes[n] + turned[q];
            if (on->tight[(i * on->rows + j) * 4 + q] && missing != face && !on->taken[missing])
                return 1;
        }
    }
    return 0;
}

static void take(Faces *on, Py_ssize_t face)
{
    const Py_ssize_t w = on->width;
    on->taken[face] = 1;
    on->count[face]++;
    on->count[face + 1]++;
    on->count[face + w]++;
    on->count[face + w + 1]++;
}

typedef struct {
    Py_ssize_t face;
    int8_t towards, option;
} Place;

/* Depth-first from the planted faces, the last one first, keeping to the wall on the left. */
static void grow(Faces *on, const Py_ssize_t *planted, Py_ssize_t plants, int heading, Place *stack)
{
    const Py_ssize_t w = on->width, steps[4] = {w, 1, -w, -1};
    const Py_ssize_t fresh[4][2] = {{w, w + 1}, {1, w + 1}, {0, 1}, {0, w}};
    static const int turns[3] = {1, 0, 3};
    Py_ssize_t top = 0;
    stack[top++] = (Place){planted[0], 0, 1};
    for (Py_ssize_t n = 0; n < plants; n++)
        stack[top++] = (Place){planted[n], (int8_t)heading, 0};
    while (top) {
        Place here = stack[--top];
        if (here.option < 2)
            stack[top++] = (Place){here.face, here.towards, (int8_t)(here.option + 1)};
        int turned = (here.towards + turns[here.option]) % 4;
        Py_ssize_t other = here.face + steps[turned];
        if (!on->open[other] || on->count[other + fresh[turned][0]] || on->count[other + fresh[turned][1]] ||
            (on->has_tight && cuts(on, other)))
            continue;
        take(on, other);
        stack[top++] = (Place){other, (int8_t)turned, 0};
    }
}

/* ---- comb: a spine and fingers, grown by a table of moves (meander.py) ---- */

#define ROLES 4
#define MOVES 3

typedef struct {
    int first, finger, walks, mirrored, roles;
    int options[ROLES], direction[ROLES][MOVES], next[ROLES][MOVES];
} Comb;

typedef struct {
    Faces *on;
    Py_ssize_t *taken, count; /* in their order */
    uint8_t *seen;
    Place *stack;
    Py_ssize_t *heap;
} Spread;

/* The comb of signed bytes: first, finger, walks, mirrored, roles; then for each role the number of its moves, and
   direction and next role of each. 0 where they are none. */
static int comb_of(const Py_buffer *told, Comb *comb)
{
    const int8_t *at = told->buf, *end = at + told->len;
    if (told->len < 5)
        return 0;
    comb->first = *at++;
    comb->finger = *at++;
    comb->walks = *at++;
    comb->mirrored = *at++;
    comb->roles = *at++;
    if ((comb->first | comb->finger) & ~3 || comb->roles < 1 || comb->roles > ROLES)
        return 0;
    for (int role = 0; role < comb->roles; role++) {
        if (at == end || *at < 1 || *at > MOVES || end - at < 1 + 2 * *at)
            return 0;
        comb->options[role] = *at++;
        for (int k = 0; k < comb->options[role]; k++) {
            comb->direction[role][k] = *at++;
            comb->next[role][k] = *at++;
            if (comb->direction[role][k] & ~3 || comb->next[role][k] < 0 || comb->next[role][k] >= comb->roles)
                return 0;
        }
    }
    return at == end;
}

/* The next face in a direction, taken; 0 where it may not be. */
static Py_ssize_t step(Spread *spread, Py_ssize_t face, int direction)
{
    Faces *on = spread->on;
    const Py_ssize_t w = on->width, steps[4] = {w, 1, -w, -1};
    const Py_ssize_t fresh[4][2] = {{w, w + 1}, {1, w + 1}, {0, 1}, {0, w}};
    Py_ssize_t other = face + steps[direction];
    if (!on->open[other] || on->count[other + fresh[direction][0]] || on->count[other + fresh[direction][1]] ||
        (on->has_tight && cuts(on, other)))
        return 0;
    take(on, other);
    spread->taken[spread->count++] = other;
    return other;
}

/* Depth-first from a face of role 0. */
static void run(Spread *spread, Py_ssize_t start, const Comb *comb)
{
    Place *stack = spread->stack;
    Py_ssize_t top = 0;
    stack[top++] = (Place){start, 0, 0};
    while (top) {
        Place here = stack[--top];
        int role = here.towards, option = here.option;
        if (option + 1 < comb->options[role])
            stack[top++] = (Place){here.face, here.towards, (int8_t)(option + 1)};
        Py_ssize_t other = step(spread, here.face, comb->direction[role][option]);
        if (other)
            stack[top++] = (Place){other, (int8_t)comb->next[role][option], 0};
    }
}

static void undo(Spread *spread, Py_ssize_t face)
{
    const Py_ssize_t nodes[4] = {face, face + 1, face + spread->on->width, face + spread->on->width + 1};
    Py_ssize_t n = spread->count;
    spread->on->taken[face] = 0;
    for (int k = 0; k < 4; k++)
        spread->on->count[nodes[k]]--;
    while (spread->taken[--n] != face)
        ;
    spread->count--;
    memmove(spread->taken + n, spread->taken + n + 1, (size_t)(spread->count - n) * sizeof *spread->taken);
}

/* The northernmost row, with the rim, that open faces lead to. */
static Py_ssize_t northernmost(Spread *spread, Py_ssize_t start)
{
    const Py_ssize_t w = spread->on->width, steps[4] = {w, 1, -w, -1};
    Py_ssize_t top = 0, far = start % w, *front = spread->heap;
    memset(spread->seen, 0, (size_t)spread->on->size);
    spread->seen[start] = 1;
    front[top++] = start;
    while (top) {
        Py_ssize_t face = front[--top];
        far = face % w > far ? face % w : far;
        for (int d = 0; d < 4; d++) {
            Py_ssize_t other = face + steps[d];
            if (spread->on->open[other] && !spread->seen[other]) {
                spread->seen[other] = 1;
                front[top++] = other;
            }
        }
    }
    return far;
}

/* With the wall on the right (left when mirrored) to the first face of a row; dead ends are given back. */
static Py_ssize_t walk_to(Spread *spread, Py_ssize_t start, int mirrored, Py_ssize_t row)
{
    const Py_ssize_t w = spread->on->width, steps[4] = {w, 1, -w, -1};
    const int turns[3] = {mirrored ? 1 : 3, 0, mirrored ? 3 : 1};
    Place *path = spread->stack;
    Py_ssize_t top = 0;
    memset(spread->seen, 0, (size_t)spread->on->size);
    spread->seen[start] = 1;
    path[top++] = (Place){start, (int8_t)(mirrored ? 2 : 0), 0};
    while (top) {
        Place here = path[--top];
        if (here.face % w == row)
            return here.face;
        if (here.option == 3) {
            if (here.face != start)
                undo(spread, here.face);
            continue;
        }
        path[top++] = (Place){here.face, here.towards, (int8_t)(here.option + 1)};
        int turned = (here.towards + turns[here.option]) % 4;
        if (spread->seen[here.face + steps[turned]])
            continue;
        Py_ssize_t other = step(spread, here.face, turned);
        if (other) {
            spread->seen[other] = 1;
            path[top++] = (Place){other, (int8_t)turned, 0};
        }
    }
    return start;
}

/* Whether a face lies farther in a direction than another; of two as far the one of lower index. */
static int sooner(Py_ssize_t a, Py_ssize_t b, Py_ssize_t width, int direction)
{
    const Py_ssize_t far_a[4] = {a / width, a % width, -(a / width), -(a % width)};
    const Py_ssize_t far_b[4] = {b / width, b % width, -(b / width), -(b % width)};
    return far_a[direction] != far_b[direction] ? far_a[direction] > far_b[direction] : a < b;
}

static void push(Py_ssize_t *heap, Py_ssize_t at, Py_ssize_t face, Py_ssize_t width, int direction)
{
    while (at && sooner(face, heap[(at - 1) / 2], width, direction)) {
        heap[at] = heap[(at - 1) / 2];
        at = (at - 1) / 2;
    }
    heap[at] = face;
}

static Py_ssize_t pop(Py_ssize_t *heap, Py_ssize_t count, Py_ssize_t width, int direction)
{
    Py_ssize_t first = heap[0], last = heap[count - 1], at = 0, child;
    for (; (child = 2 * at + 1) < count - 1; at = child) {
        if (child + 1 < count - 1 && sooner(heap[child + 1], heap[child], width, direction))
            child++;
        if (!sooner(heap[child], last, width, direction))
            break;
        heap[at] = heap[child];
    }
    heap[at] = last;
    return first;
}

/* Combs that begin with a step `ahead`, from the faces after the first `known`; how many are known then. */
static Py_ssize_t combs_ahead(Spread *spread, const Comb *comb, int ahead, Py_ssize_t known)
{
    const int back = (comb->finger + 2) % 4;
    const Comb more = {.roles = 2,
                       .options = {3, 1},
                       .direction = {{back, ahead, comb->finger}, {comb->finger}},
                       .next = {{0, 0, 1}, {1}}};
    Py_ssize_t waiting = 0;
    for (;;) {
        for (; known < spread->count; known++)
            push(spread->heap, waiting++, spread->taken[known], spread->on->width, back);
        if (!waiting)
            return known;
        Py_ssize_t other = step(spread, pop(spread->heap, waiting--, spread->on->width, back), ahead);
        if (other)
            run(spread, other, &more);
    }
}

/* A comb from the planted faces, from east to west; then what it left is filled. */
static void grow_comb(Spread *spread, const Comb *comb)
{
    const Py_ssize_t plants = spread->count;
    Py_ssize_t looked_at[2] = {0, 0};
    if (comb->walks) {
        Py_ssize_t start = spread->taken[comb->mirrored ? plants - 1 : 0];
        run(spread, walk_to(spread, start, comb->mirrored, northernmost(spread, start)), comb);
    } else
        for (Py_ssize_t n = 0; n < plants; n++)
            run(spread, spread->taken[comb->mirrored ? plants - 1 - n : n], comb);
    while (looked_at[0] < spread->count || looked_at[1] < spread->count)
        for (int k = 0; k < 2; k++)
            looked_at[k] = combs_ahead(spread, comb, (comb->first + 2 * k) % 4, looked_at[k]);
    for (Py_ssize_t n = 0; n < spread->count; n++)
        spread->heap[n] = spread->taken[spread->count - 1 - n];
    grow(spread->on, spread->heap, spread->count, 2, spread->stack);
    grow(spread->on, spread->heap, spread->count, 0, spread->stack);
}

/* Corners of the boundary anticlockwise, `start` first and last; how many, 0 if it does not close. */
static Py_ssize_t boundary(const Faces *on, Py_ssize_t start, Py_ssize_t *path)
{
    const Py_ssize_t w = on->width, steps[4] = {w, 1, -w, -1};
    const Py_ssize_t left_of[4] = {0, -w, -w - 1, -1}, right_of[4] = {-1, 0, -w, -w - 1};
    static const int turns[3] = {3, 0, 1};
    Py_ssize_t node = start, found = 0, nodes = 0;
    int towards = 0;
    while (towards < 4 && !(on->taken[start + left_of[towards]] && !on->taken[start + right_of[towards]]))
        towards++;
    if (towards == 4)
        return 0;
    path[found++] = start;
    while (nodes++ < on->size) {
        node += steps[towards];
        if (node == start) {
            path[found++] = node;
            return found;
        }
        for (int t = 0; t < 3; t++) {
            int ahead = (towards + turns[t]) % 4;
            if (on->taken[node + left_of[ahead]] && !on->taken[node + right_of[ahead]]) {
                if (ahead != towards)
                    path[found++] = node;
                towards = ahead;
                break;
            }
        }
    }
    return 0;
}

/* ---- walk: a loop grown from a root and opened at the pair ---- */

typedef struct {
    int row, column, west;      /* root: faces `west` to `column` - 1 of `row` make the south side */
    int left, right;            /* pipes of the pair */
    int apart, leg, clear_from; /* faces beside the pair are closed from this row on, up to the root's */
} Root;

typedef struct {
    int32_t x, y;
} Stud;

static Py_ssize_t add_corner(Stud *kept, Py_ssize_t count, Stud point)
{
    if (count && kept[count - 1].x == point.x && kept[count - 1].y == point.y)
        return count;
    while (count > 1 && ((kept[count - 2].x == kept[count - 1].x && kept[count - 1].x == point.x) ||
                         (kept[count - 2].y == kept[count - 1].y && kept[count - 1].y == point.y)))
        count--;
    kept[count++] = point;
    return count;
}

static Stud place_of(const Faces *on, Py_ssize_t node, const int32_t *us, const int32_t *vs)
{
    return (Stud){us[node / on->width - 1], vs[node % on->width - 1]};
}

/* The boundary cut on its side from west to east where the pair meets it; corners from right to left pipe. */
static Py_ssize_t opened(const Faces *on, const Root *root, const int32_t *us, const int32_t *vs,
                         const Py_ssize_t *path, Py_ssize_t nodes, Stud *corners)
{
    const int32_t v = vs[root->row];
    Py_ssize_t cut = 0, count = 0, n;
    for (; cut + 1 < nodes; cut++) {
        Stud a = place_of(on, path[cut], us, vs), b = place_of(on, path[cut + 1], us, vs);
        if (a.y == v && b.y == v && a.x < root->right && root->right <= b.x)
            break;
    }
    if (cut + 1 >= nodes)
        return 0;
    count = add_corner(corners, count, (Stud){root->right, INT_MIN}); /* the lane's end, somewhere south */
    count = add_corner(corners, count, (Stud){root->right, v});
    for (n = cut + 1; n < nodes; n++)
        count = add_corner(corners, count, place_of(on, path[n], us, vs));
    for (n = 1; n <= cut; n++)
        count = add_corner(corners, count, place_of(on, path[n], us, vs));
    count = add_corner(corners, count, (Stud){root->left, v});
    return add_corner(corners, count, (Stud){root->left, INT_MIN});
}

static int legs_fit(const Stud *corners, Py_ssize_t count, int leg)
{
    for (Py_ssize_t n = 1; n + 2 < count; n++)
        if (abs(corners[n].x - corners[n + 1].x) + abs(corners[n].y - corners[n + 1].y) < leg)
            return 0;
    return 1;
}

static void lay_out(Faces *on, const uint8_t *face, const Root *root, const int32_t *us)
{
    for (Py_ssize_t i = 0; i + 1 < on->columns; i++) {
        int beside = us[i] < root->right + root->apart && us[i + 1] > root->left - root->apart;
        for (Py_ssize_t j = 0; j + 1 < on->rows; j++)
            on->open[at_face(on, i, j)] =
                face[i * (on->rows - 1) + j] && !(beside && j >= root->clear_from && j < root->row);
    }
}

static Py_ssize_t walked(Spread *spread, const uint8_t *face, const Root *root, const int32_t *us, const int32_t *vs,
                         const Comb *comb, Stud *corners)
{
    Faces *on = spread->on;
    Py_ssize_t *nodes = spread->taken, count;
    lay_out(on, face, root, us);
    for (Py_ssize_t i = root->column - 1; i >= root->west; i--) {
        Py_ssize_t planted = at_face(on, i, root->row);
        if (on->has_tight && cuts(on, planted))
            return 0;
        take(on, planted);
        nodes[spread->count++] = planted;
    }
    if (comb)
        grow_comb(spread, comb);
    else
        grow(on, nodes, spread->count, 2, spread->stack);
    count = boundary(on, at_face(on, root->column, root->row), nodes);
    count = count ? opened(on, root, us, vs, nodes, count, corners) : 0;
    return count && legs_fit(corners, count, root->leg) ? count : 0;
}

static int root_fits(const Root *root, const Faces *on)
{
    return root->row >= 0 && root->row + 1 < on->rows && root->west >= 0 && root->west < root->column &&
           root->column < on->columns;
}

/* walk(face, tight, us, vs, row, column, west, left, right, apart, leg, clear_from, comb) -> corners as int32 pairs,
   left pipe first, with the least int32 for where the lane ends; empty if the loop is not legal. `comb` is empty for
   counterflow */
static PyObject *walk(PyObject *self, PyObject *args)
{
    Py_buffer face, tight, us, vs, told;
    Root root;
    Comb comb = {0};
    PyObject *result = NULL;
    if (!PyArg_ParseTuple(args, "y*y*y*y*iiiiiiiiy*", &face, &tight, &us, &vs, &root.row, &root.column, &root.west,
                          &root.left, &root.right, &root.apart, &root.leg, &root.clear_from, &told))
        return NULL;
    Faces on = {.columns = us.len / 4, .rows = vs.len / 4, .tight = tight.buf};
    on.width = on.rows + 1;
    on.size = (on.columns + 2) * on.width;
    on.has_tight = memchr(tight.buf, 1, (size_t)tight.len) != NULL;
    Py_ssize_t spare = on.size + on.width + 2;
    uint8_t *flags = calloc(4 * (size_t)spare, 1);
    Py_ssize_t *nodes = malloc(2 * (size_t)spare * sizeof(Py_ssize_t));
    Place *stack = malloc(3 * (size_t)spare * sizeof(Place));
    Stud *corners = malloc((size_t)(spare + 8) * sizeof(Stud));
    on.open = flags;
    on.count = flags + spare;
    on.taken = flags + 2 * spare;
    Spread spread = {.on = &on, .taken = nodes, .heap = nodes + spare, .seen = flags + 3 * spare, .stack = stack};
    if (!flags || !nodes || !stack || !corners)
        PyErr_NoMemory();
    else if (face.len != (on.columns - 1) * (on.rows - 1) || tight.len != on.columns * on.rows * 4 ||
             !root_fits(&root, &on))
        refused("arrays of different sizes, or a root outside");
    else if (told.len && !comb_of(&told, &comb))
        refused("a comb that is none");
    else {
        Py_ssize_t count = walked(&spread, face.buf, &root, us.buf, vs.buf, told.len ? &comb : NULL, corners);
        for (Py_ssize_t n = 0; n < count / 2; n++) {
            Stud swapped = corners[n];
            corners[n] = corners[count - 1 - n];
            corners[count - 1 - n] = swapped;
        }
        result = PyBytes_FromStringAndSize((const char *)corners, count * (Py_ssize_t)sizeof(Stud));
    }
    free(flags);
    free(nodes);
    free(stack);
    free(corners);
    PyBuffer_Release(&face);
    PyBuffer_Release(&tight);
    PyBuffer_Release(&us);
    PyBuffer_Release(&vs);
    PyBuffer_Release(&told);
    return result;
}

/* ---- measure: the raster of a loop, distances to it, evenness of its water ---- */

#define UNREACHED (INT_MAX / 4)

typedef struct {
    Py_ssize_t rows, columns; /* raster [row][column], C order */
    int32_t *run;             /* run of the pipe at every stud, -1 where there is none */
    int32_t *away;            /* squared distance to the pipe on floor studs */
    const uint8_t *floor;
} Raster;

static void paint(Raster *on, const Stud *corners, Py_ssize_t count)
{
    int32_t run = 0;
    for (Py_ssize_t n = 0; n < on->rows * on->columns; n++)
        on->run[n] = -1;
    for (Py_ssize_t n = 0; n + 1 < count; n++) {
        Stud at = corners[n], to = corners[n + 1];
        int last = n + 2 == count;
        while (at.x != to.x || at.y != to.y || last) {
            if (at.x >= 0 && at.x < on->rows && at.y >= 0 && at.y < on->columns)
                on->run[at.x * on->columns + at.y] = run;
            if (at.x == to.x && at.y == to.y)
                break;
            at.x += (to.x > at.x) - (to.x < at.x);
            at.y += (to.y > at.y) - (to.y < at.y);
            run++;
        }
    }
}

/* Distance along the row to the nearest stud of pipe, squared. */
static void along_rows(Raster *on)
{
    for (Py_ssize_t i = 0; i < on->rows; i++) {
        const int32_t *run = on->run + i * on->columns;
        int32_t *away = on->away + i * on->columns;
        int32_t far = -1;
        for (Py_ssize_t j = 0; j < on->columns; j++) {
            far = run[j] >= 0 ? 0 : far < 0 ? -1 : far + 1;
            away[j] = far;
        }
        far = -1;
        for (Py_ssize_t j = on->columns - 1; j >= 0; j--) {
            far = run[j] >= 0 ? 0 : far < 0 ? -1 : far + 1;
            if (far >= 0 && (away[j] < 0 || far < away[j]))
                away[j] = far;
            away[j] = away[j] < 0 ? UNREACHED : away[j] * away[j];
        }
    }
}

/* Exact: a stud d rows away cannot be nearer than d, so the search stops early. */
static void across_rows(Raster *on, int32_t *away)
{
    const Py_ssize_t w = on->columns;
    for (Py_ssize_t i = 0; i < on->rows; i++)
        for (Py_ssize_t j = 0; j < w; j++) {
            Py_ssize_t n = i * w + j;
            int32_t best = on->away[n];
            for (Py_ssize_t d = 1; on->floor[n] && d < on->rows && d * d < best; d++) {
                int32_t square = (int32_t)(d * d);
                if (i >= d && on->away[n - d * w] + square < best)
                    best = on->away[n - d * w] + square;
                if (i + d < on->rows && on->away[n + d * w] + square < best)
                    best = on->away[n + d * w] + square;
            }
            away[n] = best;
        }
}

/* distances(corners, floor, run, away, columns, reach) -> (floor studs farther than reach, farthest), squared;
   fills run and away (away only on the floor) */
static PyObject *distances(PyObject *self, PyObject *args)
{
    Py_buffer corners, floor, run, away;
    Py_ssize_t columns;
    int reach, farthest = 0;
    PyObject *result = NULL;
    if (!PyArg_ParseTuple(args, "y*y*w*w*ni", &corners, &floor, &run, &away, &columns, &reach))
        return NULL;
    int32_t *rows_away = malloc((size_t)away.len + 1);
    if (!rows_away)
        PyErr_NoMemory();
    else if (columns < 1 || floor.len % columns || run.len != 4 * floor.len || away.len != run.len)
        refused("arrays of different sizes");
    else {
        Raster on = {floor.len / columns, columns, run.buf, rows_away, floor.buf};
        const int32_t *far = away.buf;
        Py_ssize_t missed = 0;
        paint(&on, corners.buf, corners.len / (Py_ssize_t)sizeof(Stud));
        along_rows(&on);
        across_rows(&on, away.buf);
        for (Py_ssize_t n = 0; n < floor.len; n++)
            if (on.floor[n]) {
                missed += far[n] > reach;
                if (far[n] > farthest)
                    farthest = far[n];
            }
        result = Py_BuildValue("ni", missed, farthest);
    }
    free(rows_away);
    PyBuffer_Release(&corners);
    PyBuffer_Release(&floor);
    PyBuffer_Release(&run);
    PyBuffer_Release(&away);
    return result;
}

/* Sums of water and pipe down the columns at every other row, weighted by the kernel. */
static void down_columns(const Raster *on, const int32_t *kernel, Py_ssize_t radius, int32_t length, int32_t *heat,
                         int32_t *pipe)
{
    const Py_ssize_t w = on->columns;
    int32_t *level = malloc((size_t)w * sizeof(int32_t) + 1);
    if (!level)
        return;
    for (Py_ssize_t i = 0; i < on->rows; i++) {
        const int32_t *run = on->run + i * w;
        for (Py_ssize_t j = 0; j < w; j++)
            level[j] = run[j] < 0 ? -1 : (int32_t)((int64_t)run[j] * 1023 / length);
        Py_ssize_t first = i > radius ? i - radius : 0, last = i + radius;
        for (Py_ssize_t k = first + (first & 1); k <= last && k < on->rows; k += 2) {
            const int32_t weight = kernel[k - i + radius];
            int32_t *h = heat + k / 2 * w, *p = pipe + k / 2 * w;
            for (Py_ssize_t j = 0; j < w; j++) {
                int32_t there = level[j] >= 0 ? weight : 0;
                h[j] += there * level[j];
                p[j] += there;
            }
        }
    }
    free(level);
}

typedef struct {
    int64_t count, sum, squares;
} Sums;

static Sums along_columns(const Raster *on, const int32_t *kernel, Py_ssize_t radius, int cut, const int32_t *heat,
                          const int32_t *pipe)
{
    const Py_ssize_t w = on->columns;
    Sums sums = {0, 0, 0};
    for (Py_ssize_t i = 0; i < on->rows; i += 2)
        for (Py_ssize_t j = 0; j < w; j += 2) {
            if (!on->floor[i * w + j] || on->away[i * w + j] >= cut)
                continue;
            const int32_t *h = heat + i / 2 * w, *p = pipe + i / 2 * w;
            Py_ssize_t first = j > radius ? j - radius : 0, last = j + radius < w - 1 ? j + radius : w - 1;
            int32_t warm = 0, weight = 0;
            for (Py_ssize_t k = first; k <= last; k++) {
                warm += kernel[k - j + radius] * h[k];
                weight += kernel[k - j + radius] * p[k];
            }
            if (weight) {
                int64_t level = (int64_t)warm * 16 / weight;
                sums.count++;
                sums.sum += level;
                sums.squares += level * level;
            }
        }
    return sums;
}

/* evenness(run, away, floor, kernel, columns, cut, length) -> (studs, sum, sum of squares) of the water's level */
static PyObject *evenness(PyObject *self, PyObject *args)
{
    Py_buffer run, away, floor, kernel;
    Py_ssize_t columns;
    int cut, length;
    PyObject *result = NULL;
    if (!PyArg_ParseTuple(args, "y*y*y*y*nii", &run, &away, &floor, &kernel, &columns, &cut, &length))
        return NULL;
    int32_t *sums = calloc((size_t)run.len / 2 + 4 * (size_t)(columns > 0 ? columns : 1), 4);
    if (!sums)
        PyErr_NoMemory();
    else if (columns < 1 || floor.len % columns || run.len != 4 * floor.len || away.len != run.len || length < 1)
        refused("arrays of different sizes");
    else {
        Raster on = {floor.len / columns, columns, run.buf, away.buf, floor.buf};
        Py_ssize_t radius = kernel.len / 8, half = (on.rows + 1) / 2 * columns;
        down_columns(&on, kernel.buf, radius, length, sums, sums + half);
        Sums s = along_columns(&on, kernel.buf, radius, cut, sums, sums + half);
        result = Py_BuildValue("LLL", (long long)s.count, (long long)s.sum, (long long)s.squares);
    }
    free(sums);
    PyBuffer_Release(&run);
    PyBuffer_Release(&away);
    PyBuffer_Release(&floor);
    PyBuffer_Release(&kernel);
    return result;
}

static PyMethodDef methods[] = {
    {"fit", fit, METH_VARARGS, "Cheapest lines of an axis."},
    {"walk", walk, METH_VARARGS, "A loop grown from a root and opened at the pair."},
    {"distances", distances, METH_VARARGS, "Raster of a loop and squared distances to it."},
    {"evenness", evenness, METH_VARARGS, "Sums over the floor of the local mean water level."},
    {NULL, NULL, 0, NULL},
};

static int started(PyObject *module)
{
    return PyModule_AddIntConstant(module, "FORM", FORM);
}

static PyModuleDef_Slot slots[] = {{Py_mod_exec, (void *)started}, {0, NULL}};

static struct PyModuleDef module = {
    PyModuleDef_HEAD_INIT, "_core", "Inner loops of the search for a field.", 0, methods, slots, NULL, NULL, NULL,
};

PyMODINIT_FUNC PyInit__core(void)
{
    return PyModuleDef_Init(&module);
}
