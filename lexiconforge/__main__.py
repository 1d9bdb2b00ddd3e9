from lexiconforge.cli import main

raise SystemExit(main())
