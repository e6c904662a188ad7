#!/bin/sh
# Run once by the database's image, on an empty data folder: the role that owns the tables and the role that runs the
# shop. What each may do is set by `manage.py migrate` (config/databases.py).
set -eu
psql --set ON_ERROR_STOP=1 --username postgres \
    --set owner_password="$DATABASE_OWNER_PASSWORD" --set app_password="$DATABASE_APP_PASSWORD" <<'SQL'
CREATE ROLE gaugerod_owner LOGIN PASSWORD :'owner_password';
CREATE ROLE gaugerod_app LOGIN PASSWORD :'app_password';
CREATE DATABASE gaugerod OWNER gaugerod_owner;
SQL
