/* Inner loops of the search for lanes, on a lattice of nodes: plain C99, whole numbers only.

   kernel_plain.py says what each function does and gives the very same results without a
   compiler: queues are emptied in the order (key, number), so nothing is left to chance.
   Distances are stored plus one in memory that calloc hands out empty, so that a search costs
   what it touches and not what the lattice holds. */

#define PY_SSIZE_T_CLEAN
#include <Python.h>
#include <stdint.h>
#include <stdlib.h>

#define FORM 1 /* of the calls below; the Python side asks for the same number */

/* ---- a queue: binary heap ordered by key, then number ---- */

typedef struct { int64_t key; int64_t id; } Item;
typedef struct { Item *items; size_t count, room; } Queue;

static int before(const Item *a, const Item *b) { return a->key < b->key || (a->key == b->key && a->id < b->id); }

static int put(Queue *q, int64_t key, int64_t id)
{
    Item item = {key, id};
    size_t k, up;
    if (q->count == q->room) {
        size_t room = q->room ? 2 * q->room : 1024;
        Item *items = realloc(q->items, room * sizeof(Item));
        if (!items) return 0;
        q->items = items;
        q->room = room;
    }
    for (k = q->count++; k > 0; k = up) {
        up = (k - 1) / 2;
        if (!before(&item, &q->items[up])) break;
        q->items[k] = q->items[up];
    }
    q->items[k] = item;
    return 1;
}

static Item take(Queue *q)
{
    Item top = q->items[0], last = q->items[--q->count];
    size_t k = 0, down;
    for (down = 1; down < q->count; down = 2 * k + 1) {
        if (down + 1 < q->count && before(&q->items[down + 1], &q->items[down])) down++;
        if (!before(&q->items[down], &last)) break;
        q->items[k] = q->items[down];
        k = down;
    }
    q->items[k] = last;
    return top;
}

/* ---- the lattice ---- */

typedef struct { int64_t size, step[4]; const uint8_t *moves; const int64_t *cost; } Lattice;

static Lattice lattice(int rows, const Py_buffer *moves, const Py_buffer *cost)
{
    Lattice l = {moves->len, {rows, 1, -rows, -1}, moves->buf, cost->buf};
    return l;
}

static int fits(const Py_buffer *moves, const Py_buffer *cost)
{
    if (cost->len == moves->len * (Py_ssize_t)sizeof(int64_t)) return 1;
    PyErr_SetString(PyExc_ValueError, "cost and moves differ in size");
    return 0;
}

/* Least costs from nodes to the nearest goal; stops once `most` nodes are done or node `until` is.
   away[n] is the distance plus one, 0 where unseen. Returns nodes done, or -1 without memory. */
static int64_t flood(const Lattice *l, const int64_t *goals, size_t count, int64_t *away, int64_t most, int64_t until,
                     int64_t *last)
{
    Queue q = {NULL, 0, 0};
    int64_t done = 0;
    size_t k;
    int d;
    *last = -1;
    for (k = 0; k < count; k++)
        if (goals[k] != until && l->cost[goals[k]] > 0 && !away[goals[k]]) {
            away[goals[k]] = 1;
            if (!put(&q, 0, goals[k])) goto none;
        }
    while (q.count && done < most) {
        Item top = take(&q);
        if (top.key + 1 != away[top.id]) continue;
        done++;
        *last = top.key;
        if (top.id == until) break;
        for (d = 0; d < 4; d++) {
            int64_t node, far = top.key + l->cost[top.id] + 1;
            if (!(l->moves[top.id] >> d & 1)) continue;
            node = top.id + l->step[d];
            if ((l->cost[node] <= 0 && node != until) || (away[node] && away[node] <= far)) continue;
            away[node] = far;
            if (!put(&q, far - 1, node)) goto none;
        }
    }
    free(q.items);
    return done;
none:
    free(q.items);
    return -1;
}

static PyObject *spread(PyObject *self, PyObject *args)
{
    Py_buffer moves, cost, goals, out;
    Lattice l;
    long long most;
    int64_t last, done = -1, k, *away;
    int rows;
    (void)self;
    if (!PyArg_ParseTuple(args, "iy*y*y*Lw*", &rows, &moves, &cost, &goals, &most, &out)) return NULL;
    l = lattice(rows, &moves, &cost);
    away = out.buf;
    if (fits(&moves, &cost) && fits(&moves, &out)) {
        for (k = 0; k < l.size; k++) away[k] = 0;
        Py_BEGIN_ALLOW_THREADS
        done = flood(&l, goals.buf, goals.len / sizeof(int64_t), away, most, -1, &last);
        for (k = 0; k < l.size; k++) away[k] = away[k] && away[k] - 1 <= last ? away[k] - 1 : -1;
        Py_END_ALLOW_THREADS
        if (done < 0) PyErr_NoMemory();
    }
    PyBuffer_Release(&moves);
    PyBuffer_Release(&cost);
    PyBuffer_Release(&goals);
    PyBuffer_Release(&out);
    return done < 0 ? NULL : PyLong_FromLongLong(done);
}

/* ---- one lane: best-first search over (node, direction) ---- */

typedef struct { int64_t *away, *paid; int32_t *from; uint8_t *goal; Queue q; } Search;

static int64_t hope(const Search *s, int64_t node, int64_t far) { return s->away[node] && s->away[node] - 1 < far ? s->away[node] - 1 : far; }

static int reach(Search *s, int64_t state, int64_t after, int64_t paid, int64_t far)
{
    if (s->paid[after] && s->paid[after] - 1 <= paid) return 1;
    s->paid[after] = paid + 1;
    s->from[after] = (int32_t)state;
    return put(&s->q, paid + hope(s, after / 4, far), after);
}

/* The last state of the cheapest legal way, -1 for none, -2 without memory. */
static int64_t find(const Lattice *l, Search *s, int64_t source, int leg, int64_t turn, int64_t limit, int64_t far)
{
    if (far >= limit || !reach(s, source, source, 0, far)) return far >= limit ? -1 : -2;
    while (s->q.count) {
        Item top = take(&s->q);
        int64_t node = top.id / 4, paid = s->paid[top.id] - 1, sum, there;
        int d, side, k, heading = (int)(top.id % 4);
        if (top.key != paid + hope(s, node, far)) continue;
        if (top.key >= limit) break;
        if (s->goal[node] && top.id != source) return top.id;
        if (l->moves[node] >> heading & 1) {
            there = node + l->step[heading];
            if (l->cost[there] > 0 && !reach(s, top.id, there * 4 + heading, paid + l->cost[there], far)) return -2;
        }
        for (side = 1; side <= 3 && top.id != source; side += 2) {
            d = (heading + side) % 4;
            for (k = 0, sum = turn, there = node; k < leg; k++) {
                if (!(l->moves[there] >> d & 1) || l->cost[there + l->step[d]] <= 0) break;
                there += l->step[d];
                sum += l->cost[there];
            }
            if (k == leg && !reach(s, top.id, there * 4 + d, paid + sum, far)) return -2;
        }
    }
    return -1;
}

static PyObject *states_to(const Search *s, int64_t state, int64_t source)
{
    PyObject *list = PyList_New(0);
    for (;; state = s->from[state]) {
        PyObject *number = list ? PyLong_FromLongLong(state) : NULL;
        if (!number || PyList_Append(list, number) < 0) {
            Py_XDECREF(number);
            Py_XDECREF(list);
            return NULL;
        }
        Py_DECREF(number);
        if (state == source) break;
    }
    PyList_Reverse(list);
    return list;
}

static PyObject *lead(PyObject *self, PyObject *args)
{
    Py_buffer moves, cost, goals;
    Lattice l;
    Search s = {NULL, NULL, NULL, NULL, {NULL, 0, 0}};
    PyObject *result = NULL;
    long long turn, limit, source;
    int64_t far = 0, end = -2, done = -1;
    int rows, leg;
    (void)self;
    if (!PyArg_ParseTuple(args, "iy*y*y*LiLL", &rows, &moves, &cost, &goals, &source, &leg, &turn, &limit)) return NULL;
    l = lattice(rows, &moves, &cost);
    if (fits(&moves, &cost)) {
        const int64_t *places = goals.buf;
        size_t k, count = goals.len / sizeof(int64_t);
        s.away = calloc(l.size, sizeof(int64_t));
        s.paid = calloc(4 * l.size, sizeof(int64_t));
        s.from = calloc(4 * l.size, sizeof(int32_t));
        s.goal = calloc(l.size, 1);
        if (s.away && s.paid && s.from && s.goal) {
            Py_BEGIN_ALLOW_THREADS
            for (k = 0; k < count; k++) s.goal[places[k]] = 1;
            done = flood(&l, places, count, s.away, l.size, source / 4, &far);
            if (done >= 0) end = s.away[source / 4] ? find(&l, &s, source, leg, turn, limit, far) : -1;
            Py_END_ALLOW_THREADS
        }
        if (end == -2) PyErr_NoMemory();
        else if (end == -1) result = PyList_New(0);
        else result = states_to(&s, end, source);
    }
    free(s.away);
    free(s.paid);
    free(s.from);
    free(s.goal);
    free(s.q.items);
    PyBuffer_Release(&moves);
    PyBuffer_Release(&cost);
    PyBuffer_Release(&goals);
    return result;
}

/* ---- all lanes at once: minimum-cost flow, nodes split in two ---- */

enum { NOWHERE = -1, SOURCE = 4, END = 5 };

typedef struct {
    Lattice l;
    int64_t step_cost, tie, ends;                /* cost of a step, of an arrival; number of territories */
    const int64_t *first, *places;               /* territory t ends at places[first[t]] to places[first[t + 1]] */
    int64_t *node_first, *node_ends;             /* the territories that a node may be the end of */
    int64_t *left;                               /* least cost to the sink, plus one, of each vertex */
    int32_t *next;                               /* by node: direction in which its lane goes on, END + territory */
    int8_t *prev;                                /* by node: direction in which its lane came, SOURCE */
    int32_t *last;                               /* by territory: the node at which its lane ends */
    int64_t *seen;                               /* by vertex: distance plus one */
    int64_t *from;
    int64_t *touched, touches;
    Queue q;
} Flow;

/* Vertices: 2v a node's entry, 2v + 1 its exit, then the territories, then the sink. */

static int arrive(Flow *f, int64_t x, int64_t y, int64_t at, int64_t cost)
{
    int64_t far;
    if (!f->left[y]) return 1;
    far = at + cost + f->left[y] - f->left[x];
    if (f->seen[y] && f->seen[y] - 1 <= far) return 1;
    if (!f->seen[y]) f->touched[f->touches++] = y;
    f->seen[y] = far + 1;
    f->from[y] = x;
    return put(&f->q, far, y);
}

static int in_use(const Flow *f, int64_t v) { return f->next[v] != NOWHERE || f->prev[v] != NOWHERE; }

static int expand(Flow *f, int64_t x, int64_t at)
{
    int64_t v = x / 2, nodes = 2 * f->l.size, sink = nodes + f->ends, k;
    int d;
    if (x >= nodes) {
        int64_t t = x - nodes;
        return f->last[t] < 0 ? arrive(f, x, sink, at, 0) : arrive(f, x, 2 * (int64_t)f->last[t] + 1, at, -f->tie);
    }
    if (x % 2 == 0) {
        if (!in_use(f, v)) return arrive(f, x, x + 1, at, f->l.cost[v]);
        if (f->prev[v] >= 0 && f->prev[v] < SOURCE)
            return arrive(f, x, 2 * (v - f->l.step[f->prev[v]]) + 1, at, -f->step_cost);
        return 1;
    }
    if (in_use(f, v) && !arrive(f, x, x - 1, at, -f->l.cost[v])) return 0;
    for (d = 0; d < 4; d++)
        if (f->l.moves[v] >> d & 1 && f->next[v] != d && !arrive(f, x, 2 * (v + f->l.step[d]), at, f->step_cost)) return 0;
    for (k = f->node_first[v]; k < f->node_first[v + 1]; k++)
        if (f->next[v] != END + f->node_ends[k] && !arrive(f, x, nodes + f->node_ends[k], at, f->tie)) return 0;
    return 1;
}

/* Least cost to the sink over the empty lattice, for all vertices that reach it. */
static int potentials(Flow *f)
{
    int64_t nodes = 2 * f->l.size, k, t, x, *left = f->left;
    int d;
    left[nodes + f->ends] = 1;
    for (t = 0; t < f->ends; t++) {
        left[nodes + t] = 1;
        for (k = f->first[t]; k < f->first[t + 1]; k++) {
            x = 2 * f->places[k] + 1;
            if (f->l.cost[f->places[k]] <= 0 || left[x]) continue;
            left[x] = f->tie + 1;
            if (!put(&f->q, f->tie, x)) return 0;
        }
    }
    while (f->q.count) {
        Item top = take(&f->q);
        int64_t v = top.id / 2, far;
        if (top.key + 1 != left[top.id]) continue;
        far = top.key + f->l.cost[v] + 1;
        if (left[2 * v] && left[2 * v] <= far) continue;
        left[2 * v] = far;
        for (d = 0; d < 4; d++) {
            int64_t u = v + f->l.step[d];
            if (!(f->l.moves[v] >> d & 1) || f->l.cost[u] <= 0) continue;
            if (left[2 * u + 1] && left[2 * u + 1] <= far + f->step_cost) continue;
            left[2 * u + 1] = far + f->step_cost;
            if (!put(&f->q, far + f->step_cost - 1, 2 * u + 1)) return 0;
        }
    }
    return 1;
}

static int64_t step_between(const Flow *f, int64_t a, int64_t b)
{
    int d;
    for (d = 0; d < 4; d++)
        if (a + f->l.step[d] == b) return d;
    return NOWHERE;
}

/* Turn the arcs of a path round, those that take a lane's step back first. */
static void turn_over(Flow *f)
{
    int64_t nodes = 2 * f->l.size, sink = nodes + f->ends, x, y;
    for (y = f->from[sink]; f->from[y] >= 0; y = f->from[y]) {
        x = f->from[y];
        if (x >= nodes) f->next[y / 2] = NOWHERE;
        else if (y < nodes && x % 2 == 0 && y % 2 == 1 && x != y - 1) {
            f->next[y / 2] = NOWHERE;
            f->prev[x / 2] = NOWHERE;
        }
    }
    for (y = f->from[sink];; y = x) {
        x = f->from[y];
        if (x < 0) {
            f->prev[y / 2] = SOURCE;
            break;
        }
        if (y >= nodes) {
            f->next[x / 2] = (int32_t)(END + y - nodes);
            f->last[y - nodes] = (int32_t)(x / 2);
        } else if (x < nodes && x % 2 == 1 && y % 2 == 0 && y != x - 1) {
            int64_t d = step_between(f, x / 2, y / 2);
            f->next[x / 2] = (int32_t)d;
            f->prev[y / 2] = (int8_t)d;
        }
    }
}

/* One more lane: 1 sent, 0 no way, -1 without memory. Afterwards `seen` holds what was reached. */
static int augment(Flow *f, const int64_t *ports, size_t count)
{
    int64_t sink = 2 * f->l.size + f->ends, k, far;
    size_t p;
    for (k = 0; k < f->touches; k++) f->seen[f->touched[k]] = 0;
    f->touches = 0;
    f->q.count = 0;
    for (p = 0; p < count; p++) {
        int64_t x = 2 * ports[p];
        if (f->prev[ports[p]] == SOURCE || !f->left[x] || f->seen[x]) continue;
        f->seen[x] = f->left[x];
        f->from[x] = -1;
        f->touched[f->touches++] = x;
        if (!put(&f->q, f->seen[x] - 1, x)) return -1;
    }
    while (f->q.count) {
        Item top = take(&f->q);
        if (top.key + 1 != f->seen[top.id]) continue;
        if (top.id == sink) break;
        if (!expand(f, top.id, top.key)) return -1;
    }
    if (!f->seen[sink]) return 0;
    far = f->seen[sink];
    for (k = 0; k < f->touches; k++) {
        int64_t x = f->touched[k];
        if (f->seen[x] < far) f->left[x] += far - f->seen[x];
    }
    turn_over(f);
    return 1;
}

static int ready(Flow *f)
{
    int64_t n = f->l.size, vertices = 2 * n + f->ends + 1, k, t, total = f->first[f->ends];
    f->node_first = calloc(n + 2, sizeof(int64_t));
    f->node_ends = calloc(total + 1, sizeof(int64_t));
    f->left = calloc(vertices, sizeof(int64_t));
    f->next = malloc(n * sizeof(int32_t));
    f->prev = malloc(n);
    f->last = malloc((f->ends + 1) * sizeof(int32_t));
    f->seen = calloc(vertices, sizeof(int64_t));
    f->from = calloc(vertices, sizeof(int64_t));
    f->touched = calloc(vertices, sizeof(int64_t));
    if (!f->node_first || !f->node_ends || !f->left || !f->next || !f->prev || !f->last || !f->seen || !f->from || !f->touched)
        return 0;
    for (k = 0; k < n; k++) f->next[k] = f->prev[k] = NOWHERE;
    for (t = 0; t < f->ends; t++) f->last[t] = NOWHERE;
    for (k = 0; k < total; k++) f->node_first[f->places[k] + 2]++;
    for (k = 0; k < n; k++) f->node_first[k + 2] += f->node_first[k + 1];
    for (t = 0; t < f->ends; t++)
        for (k = f->first[t]; k < f->first[t + 1]; k++) f->node_ends[f->node_first[f->places[k] + 1]++] = t;
    return potentials(f);
}

static int add(PyObject *list, PyObject *item)
{
    int fine = item && PyList_Append(list, item) == 0;
    Py_XDECREF(item);
    return fine;
}

/* (lanes, cut): a list of node lists by territory, empty where not reached, and the nodes of the least cut. */
static PyObject *told(const Flow *f, const int64_t *ports, size_t count, int64_t sent)
{
    PyObject *lanes = PyList_New(0), *cut = PyList_New(0), *result = NULL;
    int fine = lanes && cut;
    int64_t t, v;
    size_t p;
    for (t = 0; fine && t < f->ends; t++) fine = add(lanes, PyList_New(0));
    for (p = 0; fine && p < count; p++) {
        PyObject *lane;
        if (f->prev[ports[p]] != SOURCE) continue;
        for (v = ports[p]; f->next[v] < END; v += f->l.step[f->next[v]]) {}
        lane = PyList_GetItem(lanes, f->next[v] - END);
        if (PyList_Size(lane)) continue; /* a port told twice */
        for (v = ports[p]; fine; v += f->l.step[f->next[v]]) {
            fine = add(lane, PyLong_FromLongLong(v));
            if (f->next[v] >= END) break;
        }
    }
    for (v = 0; fine && sent < f->ends && v < f->l.size; v++)
        if (in_use(f, v) && f->seen[2 * v] && !f->seen[2 * v + 1]) fine = add(cut, PyLong_FromLongLong(v));
    if (fine) result = PyTuple_Pack(2, lanes, cut);
    Py_XDECREF(lanes);
    Py_XDECREF(cut);
    return result;
}

static PyObject *flow(PyObject *self, PyObject *args)
{
    Py_buffer moves, cost, ports, first, places;
    PyObject *result = NULL;
    Flow f = {0};
    long long step_cost, tie;
    int64_t sent = 0;
    int rows, more = -1;
    (void)self;
    if (!PyArg_ParseTuple(args, "iy*y*LLy*y*y*", &rows, &moves, &cost, &step_cost, &tie, &ports, &first, &places)) return NULL;
    if (fits(&moves, &cost)) {
        size_t count = ports.len / sizeof(int64_t);
        f.l = lattice(rows, &moves, &cost);
        f.step_cost = step_cost;
        f.tie = tie;
        f.ends = first.len / (Py_ssize_t)sizeof(int64_t) - 1;
        f.first = first.buf;
        f.places = places.buf;
        Py_BEGIN_ALLOW_THREADS
        if (ready(&f))
            while (sent < f.ends && (more = augment(&f, ports.buf, count)) > 0) sent++;
        else more = -1;
        if (f.ends == 0) more = 0;
        Py_END_ALLOW_THREADS
        if (more < 0) PyErr_NoMemory();
        else result = told(&f, ports.buf, count, sent);
    }
    free(f.node_first);
    free(f.node_ends);
    free(f.left);
    free(f.next);
    free(f.prev);
    free(f.last);
    free(f.seen);
    free(f.from);
    free(f.touched);
    free(f.q.items);
    PyBuffer_Release(&moves);
    PyBuffer_Release(&cost);
    PyBuffer_Release(&ports);
    PyBuffer_Release(&first);
    PyBuffer_Release(&places);
    return result;
}

static PyMethodDef methods[] = {
    {"spread", spread, METH_VARARGS, "Least costs to the nearest goal; see kernel_plain."},
    {"lead", lead, METH_VARARGS, "States of the cheapest legal lane; see kernel_plain."},
    {"flow", flow, METH_VARARGS, "Lanes of least cost and the least cut; see kernel_plain."},
    {NULL, NULL, 0, NULL}};

static struct PyModuleDef module = {PyModuleDef_HEAD_INIT, "_kernel", NULL, -1, methods, NULL, NULL, NULL, NULL};

PyMODINIT_FUNC PyInit__kernel(void)
{
    PyObject *made = PyModule_Create(&module);
    if (made && PyModule_AddIntConstant(made, "FORM", FORM) < 0) {
        Py_DECREF(made);
        return NULL;
    }
    return made;
}
