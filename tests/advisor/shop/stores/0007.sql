-- A store as version 7 wrote it.
CREATE TABLE alembic_version (
    version_num VARCHAR(32) NOT NULL,
    CONSTRAINT alembic_version_pkc PRIMARY KEY (version_num)
);
INSERT INTO alembic_version VALUES('0007');
CREATE TABLE shelf_entry (
    number INTEGER NOT NULL,
    kind VARCHAR(20) NOT NULL,
    name VARCHAR(60) NOT NULL,
    "values" JSON NOT NULL,
    entered_at DATETIME NOT NULL,
    PRIMARY KEY (number),
    CONSTRAINT one_entry_per_thing UNIQUE (kind, name)
);
INSERT INTO shelf_entry VALUES(1,'films','our-glitter','{"family": "sparkle", "finishes": ["sparkle"], "setpoint_c": {"best": 155.0}, "dwell_s": {"best": 12.0}, "peel": "warm"}','2026-11-02 08:15:00.000000');
INSERT INTO shelf_entry VALUES(2,'films','matte-smooth','{"price_per_m": 6.2, "on_shelf_m": 41.5, "colours": {"teal": "#008080"}}','2026-11-02 08:20:00.000000');
INSERT INTO shelf_entry VALUES(3,'presses','garage-press','{"like": "clamshell-38x38", "pressure": {"kind": "feel"}}','2026-11-03 17:00:00.000000');
CREATE TABLE shop_figure (
    name VARCHAR(40) NOT NULL,
    value JSON NOT NULL,
    PRIMARY KEY (name)
);
INSERT INTO shop_figure VALUES('margin_pct','35.0');
CREATE TABLE pressed_job (
    number INTEGER NOT NULL PRIMARY KEY AUTOINCREMENT,
    "key" VARCHAR(64) NOT NULL,
    job VARCHAR(80) NOT NULL,
    "plan" JSON NOT NULL,
    shelf JSON NOT NULL,
    taken JSON NOT NULL,
    pressed_at DATETIME NOT NULL
);
CREATE INDEX pressed_job_by_key ON pressed_job ("key");
INSERT INTO pressed_job VALUES(3,'aa11','harbour-kite-bags','{"job": "harbour-kite-bags"}','{"films": {}}','[{"film": "matte-smooth", "wanted_m": 2.45, "counted_m": 2.45, "left_m": 41.5}]','2026-11-04 09:30:00.000000');
CREATE TABLE logged_press (
    number INTEGER NOT NULL PRIMARY KEY AUTOINCREMENT,
    fabric VARCHAR(60) NOT NULL,
    press VARCHAR(60) NOT NULL,
    garments INTEGER NOT NULL,
    washes INTEGER NOT NULL,
    note VARCHAR(500) NOT NULL,
    pressed_on DATE NOT NULL,
    colour VARCHAR(7)
);
INSERT INTO logged_press VALUES(1,'cotton-jersey-tee','garage-press',7,25,'sleeve side up','2026-11-05','#1c2a48');
CREATE TABLE logged_bond (
    number INTEGER NOT NULL,
    place INTEGER NOT NULL,
    film VARCHAR(60) NOT NULL,
    below VARCHAR(60) NOT NULL,
    outcome VARCHAR(20) NOT NULL,
    under VARCHAR(800),
    colour VARCHAR(7),
    setpoint_c FLOAT,
    dwell_s FLOAT,
    PRIMARY KEY (number, place),
    FOREIGN KEY(number) REFERENCES logged_press (number) ON DELETE CASCADE
);
CREATE INDEX logged_bond_by_films ON logged_bond (film, below);
INSERT INTO logged_bond VALUES(1,0,'matte-smooth','cotton-jersey-tee','sound','','#ffffff',155.0,16.0);
CREATE TABLE cut_job (
    "key" VARCHAR(64) NOT NULL,
    taken JSON NOT NULL,
    PRIMARY KEY ("key")
);
INSERT INTO cut_job VALUES('aa11','{"rolls": [{"film": "matte-smooth", "colour": "teal", "metres": 1.85, "price_per_m": 5.9, "note": "", "interrupted": false}], "cut_m": 31.2, "carriers": 6, "names": 0, "laid": "cut"}');
CREATE TABLE logged_count (
    number INTEGER NOT NULL,
    film VARCHAR(60) NOT NULL,
    below VARCHAR(60) NOT NULL,
    under VARCHAR(800),
    cloth VARCHAR(60) NOT NULL,
    press VARCHAR(60) NOT NULL,
    film_colour VARCHAR(7),
    cloth_colour VARCHAR(7),
    setpoint_c FLOAT,
    dwell_s FLOAT,
    outcome VARCHAR(20) NOT NULL,
    washes INTEGER NOT NULL,
    garments INTEGER NOT NULL,
    PRIMARY KEY (number)
);
CREATE INDEX logged_count_by_trial ON logged_count (film, below, under, cloth, press, film_colour, cloth_colour, setpoint_c, dwell_s, outcome, washes, garments);
INSERT INTO logged_count VALUES(1,'matte-smooth','cotton-jersey-tee','','cotton-jersey-tee','garage-press','#ffffff','#1c2a48',155.0,16.0,'sound',25,7);
